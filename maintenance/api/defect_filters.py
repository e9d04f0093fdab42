"""What defects can be asked by: where, when, how bad, whether an alarm waits, and how they stand."""

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import django_filters as filters
from django.db.models import Exists, OuterRef, Q, QuerySet
from django.db.models.functions import Coalesce

from fleet.api.filters import WANTED_DAY, BaseCode, code, number, yes_no
from fleet.bases.models import Base
from fleet.boats.models import SINCE_EVER
from maintenance.defects.models import ENDINGS, Defect, DefectQuerySet, DefectStep
from maintenance.defects.rules import GRADES, HULL_PLACES

LAST_DAY = date(2999, 12, 31)
NOT_GRADED = "not graded"


def found(said: str) -> filters.DateFilter:
    return filters.DateFilter(method="by_day", label=said, error_messages=WANTED_DAY)


def hours_of(base: Base, day: date) -> tuple[datetime, datetime]:
    """When a day begins and ends at a base; one far off counts as the first or last that can be."""
    day = min(max(day, SINCE_EVER), LAST_DAY)
    zone = ZoneInfo(base.timezone)
    start, end = (datetime.combine(d, time(), zone) for d in (day, day + timedelta(days=1)))
    return start, end


class DefectFilter(filters.FilterSet):
    base = BaseCode()
    boat = code("boat__code", "of this boat")
    charter = code("charter__code", "of this charter")
    component = code("component__code", "at this component")
    kind = code("component__kind__code", "at things of this kind")
    system = code("component__kind__system", "at things of this system")
    hull = filters.ChoiceFilter(choices=[(h, h) for h in HULL_PLACES], label="at this place of her hull")
    grade = filters.ChoiceFilter(
        choices=[(g, g) for g in (*GRADES, NOT_GRADED)], label="of this grade now", method="by_grade"
    )
    open = yes_no("neither put right nor found to be no fault", method="by_end")
    joined = yes_no("said to be of one thing with another", field_name="same_as", method="by_join")
    alarmed = yes_no("an alarm was raised, by a word or by danger now", method="by_alarm")
    looked = yes_no("false: open, an alarm was raised, and nobody has looked since", method="by_look")
    first = number("first", "that stand for the report with this id, as it first came in")
    risk_now = yes_no("somebody could be hurt")
    day = found("found on this day, by the base's clock")
    from_day = found("found on this day or later")
    to_day = found("found on this day or before")

    def by_grade(self, rows: DefectQuerySet, name: str, value: str) -> QuerySet[Defect]:
        graded: QuerySet[Defect] = rows.judged().filter(grade="" if value == NOT_GRADED else value)
        return graded

    def by_end(self, rows: QuerySet[Defect], name: str, value: bool) -> QuerySet[Defect]:
        """One joined to another stands as that one does."""
        case = Coalesce(OuterRef("same_as"), OuterRef("first"), OuterRef("pk"))
        ended = Exists(DefectStep.objects.standing().filter(defect=case, step__in=ENDINGS))
        return rows.exclude(ended) if value else rows.filter(ended)

    def by_join(self, rows: QuerySet[Defect], name: str, value: bool) -> QuerySet[Defect]:
        return rows.filter(same_as__isnull=not value)

    def by_alarm(self, rows: DefectQuerySet, name: str, value: bool) -> QuerySet[Defect]:
        alarmed = Defect.objects.alarmed().values("pk")
        return rows.filter(pk__in=alarmed) if value else rows.exclude(pk__in=alarmed)

    def by_look(self, rows: DefectQuerySet, name: str, value: bool) -> QuerySet[Defect]:
        """Looked at: an alarm was raised and does not wait for anybody."""
        waits = Defect.objects.not_looked_at().values("pk")
        if not value:
            return rows.filter(pk__in=waits)
        return self.by_alarm(rows, name, True).exclude(pk__in=waits)

    def by_day(self, rows: QuerySet[Defect], name: str, value: date) -> QuerySet[Defect]:
        """A moment is of a day by the clock of the base whose boat it is."""
        caller = self.request.caller_of_api
        found = Q(pk__in=())
        for pk, base in caller.bases.items():
            start, end = hours_of(base, value)
            within = {"found_at__gte": start, "found_at__lt": end}
            within.pop({"from_day": "found_at__lt", "to_day": "found_at__gte"}.get(name, ""), None)
            found |= Q(boat__in=[boat for boat, whose in caller.boats.items() if whose == pk], **within)
        return rows.filter(found)

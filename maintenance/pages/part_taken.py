"""What followed on both boats from a part taken, and the way back today."""

from decimal import Decimal
from typing import Any

from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from fleet.boats.models import Boat, Component, Fitting, Place
from fleet.pages.desk import Desk, at_base
from fleet.refused import Refused
from maintenance.jobs.models import PartTaken
from maintenance.jobs.part_taken import take_back_part
from maintenance.jobs.under_way import standing_of
from maintenance.pages import wording
from maintenance.pages.answers import Group
from maintenance.release.facts import Judged, judged_of
from maintenance.release.rules import worst_first
from maintenance.servicing.models import Due
from maintenance.spares.facts import hands
from maintenance.spares.models import Spare

GRADED = "graded {grade} by {who}"


@at_base("see", post="put a defect right")
def part_taken(request: HttpRequest, desk: Desk, taken: int) -> HttpResponse:
    """One part taken; sending takes the whole back."""
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    rows = PartTaken.objects.filter(void=False, replaces__isnull=True)
    rows = rows.select_related("component__kind", "from_boat", "to_boat", "recorded_by")
    row = get_object_or_404(rows, Q(from_boat__in=boats) | Q(to_boat__in=boats), pk=taken)
    if request.method == "POST":
        try:
            take_back_part(row, at=desk.now, by=desk.person)
        except Refused as refused:
            return _refused(request, desk, str(refused))
        return redirect("part-taken", base=desk.base.code, taken=row.pk)
    return render(request, "maintenance/answer.html", _context(row, desk))


def _refused(request: HttpRequest, desk: Desk, said: str) -> HttpResponse:
    text = "Say what is true now: move the part on its own page, end the defect on its own."
    context = {
        "desk": desk,
        "heading": "Too late to undo the whole",
        "lede": wording.sentence(said),
        "groups": [{"title": "What to do", "items": [{"text": text}]}],
    }
    return render(request, "maintenance/answer.html", context, status=409)


def _context(row: PartTaken, desk: Desk) -> dict[str, Any]:
    undone = hasattr(row, "replaced_by")
    kind, donor, to = row.component.kind.name, row.from_boat, row.to_boat
    by = f" by {row.recorded_by.name}" if row.recorded_by else ""
    lede = f"Recorded {wording.moment(row.recorded_at, desk.base.timezone)}{by}."
    may_undo = not undone and desk.may("put a defect right") and desk.is_today(row.recorded_at)
    context = {
        "desk": desk,
        "here": "week",
        "ship": to,
        "heading": f"{kind} taken from {donor.name} for {to.name}",
        "lede": lede,
        "cautions": ["Fit it as its maker's manual says, and try it before she goes out."],
        "groups": _groups(row, desk),
        "undo": reverse("part-taken", args=[desk.base.code, row.pk]) if may_undo else None,
        "undo_text": "Undo all of it",
    }
    if undone:
        home = f"The part is on {donor.name} again, what was said with it counts no more."
        group = {"title": "Undone", "items": [{"text": home}]}
        context |= {"lede": f"Undone. {lede}", "groups": [group], "cautions": []}
    return context


def _groups(row: PartTaken, desk: Desk) -> list[Group]:
    ships = [row.from_boat_id, row.to_boat_id]
    judged = judged_of(desk.base, on=desk.today, now=desk.now, boats=ships)
    cases = standing_of({row.lacks_id, row.settles_id or 0})
    to_do = _to_order(row, desk)
    return [
        *([{"title": "Still to do", "items": to_do}] if to_do else []),
        {
            "title": f"On {row.to_boat.name}",
            "items": [
                *_fitted(row, desk),
                *_defect(cases.get(row.settles_id or 0), "Put right", desk),
                *_stands(judged.get(row.to_boat_id), desk),
            ],
        },
        {
            "title": f"On {row.from_boat.name}",
            "items": [
                *_defect(cases.get(row.lacks_id), "", desk),
                *_stands(judged.get(row.from_boat_id), desk),
            ],
        },
    ]


def _fitted(row: PartTaken, desk: Desk) -> list[dict[str, str]]:
    """The part in its new place with what falls due on it, and the one that came off."""
    part = row.component
    lines = Due.objects.filter(component=part).judged(desk.today)
    days = [line.due_on for line in lines if line.due_on is not None]
    due = min(days, default=None)
    says = f"; next due {wording.day(due, desk.today)}" if due else ""
    stay = Fitting.objects.standing().filter(component=part, boat=row.to_boat).order_by("pk").last()
    text = f"{_named(part, stay)} of {row.from_boat.name} is fitted"
    items = [_thing(part, text, f"its history and hours came along{says}", desk)]
    for off in _came_off(row):
        text = f"{_named(off.component, off)} of {row.to_boat.name} came off"
        items.append({"text": text, "why": "it is ashore, its history stays"})
    return items


def _came_off(row: PartTaken) -> list[Fitting]:
    rows = Fitting.objects.standing().filter(
        boat=row.to_boat, recorded_at=row.recorded_at, removed_on__isnull=False
    )
    return list(rows.select_related("component__kind"))


def _named(part: Component, stay: Fitting | None) -> str:
    """The thing as people call it: its kind and where it sits."""
    return part.kind.name + (f", {stay.position}" if stay is not None and stay.position else "")


def _to_order(row: PartTaken, desk: Desk) -> list[dict[str, str]]:
    """That one is to be ordered or repaired, where the base keeps spares of the kind: a boat is without."""
    spares = {spare.pk: spare for spare in Spare.objects.filter(kind=row.component.kind_id)}
    if not spares:
        return []
    stores = Place.objects.filter(base=desk.base).values_list("pk", flat=True)
    held = dict.fromkeys(spares, Decimal(0))
    for (spare, _place), quantity in hands(list(stores)).items():
        if spare in held:
            held[spare] += quantity
    there = ", ".join(f"{wording.quantity(held[pk])} {spare.name}" for pk, spare in spares.items())
    whose = f"{row.to_boat.name}'s is broken" if _came_off(row) else f"{row.from_boat.name} is without"
    return [{"text": f"Order or repair one: {whose} and the store has {there}"}]


def _thing(part: Component, text: str, why: str, desk: Desk) -> dict[str, str]:
    link = reverse("component", args=[desk.base.code, part.pk])
    return {"text": text, "why": why, "link": link, "link_text": "Its page"}


def _defect(defect: Any, says: str, desk: Desk) -> list[dict[str, str]]:
    if defect is None:
        return []
    graded = GRADED.format(grade=defect.grade, who=defect.graded_by) if defect.grade else ""
    line = " ".join(defect.words.split())
    link = reverse("defect", args=[desk.base.code, defect.pk])
    return [{"text": line, "why": wording.sentence(says or graded), "link": link, "link_text": "Open"}]


def _stands(judged: Judged | None, desk: Desk) -> list[dict[str, str]]:
    """How a boat stands now for her next charter, and what holds her."""
    if judged is None:
        return []
    reasons = "; ".join(reason.words for reason in worst_first(judged.standing.reasons))
    charter = judged.charter
    leaves = f", leaves {wording.day(charter.starts_on, desk.today)}" if charter is not None else ""
    return [{"text": wording.sentence(f"{judged.standing.word}{leaves}."), "why": reasons}]

"""Alarms nobody has looked at, as the week and a boat's page say them, and the look itself."""

import uuid
from collections.abc import Collection
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from fleet.boats.models import Boat
from fleet.charters.models import Charter
from fleet.pages.desk import Desk, at_base
from fleet.pages.fields import PhotosField
from fleet.papers.actions import keep_paper
from maintenance.defects.actions import look_at
from maintenance.defects.models import Defect, DefectStep
from maintenance.pages import alarm_wording, wording
from maintenance.pages.asked import answer, questions
from maintenance.pages.defect_rows import end_of, kept_once, row_of, short, where_of, who_field
from maintenance.pages.defect_story import photos_of
from maintenance.pages.worded import words_field
from maintenance.turnaround.at_sea import under_way

# What is kept where nothing was typed, by the button that was tapped.
OTHER = "No alarm: the words mean something else"
PHRASES = {"nothing": "Looked, nothing found", "something": "Looked, there is something", "other": OTHER}
RUNG = "By telephone:"
BY_TELEPHONE = {
    "nothing": f"{RUNG} the skipper says there is nothing",
    "something": f"{RUNG} the skipper says there is something",
    "other": OTHER,
}
WANTED = "What was seen: wanted nothing there, or there is something, or that it is no alarm"


class LookForm(forms.Form):
    """Who looked and what was seen; a tap keeps the phrase on its button."""

    who = who_field("Who looked")
    seen = words_field(
        "What was seen", most=500, required=False, help_text="blank keeps what the button says"
    )
    photos = PhotosField("Photos", most=6)


def alarms_of(desk: Desk, boats: Collection[int] | None = None) -> list[dict[str, Any]]:
    """Alarms of a base's boats that wait for a look, what is danger now first; one query."""
    ours: Any = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    rows = Defect.objects.not_looked_at().filter(boat__in=ours).select_related("boat")
    if boats is not None:
        rows = rows.filter(boat__in=boats)
    found = sorted(rows, key=lambda row: (not _now(row), row.found_at, row.pk))
    return [_alarm(row, desk) for row in found]


def _now(row: Any) -> bool:
    return bool(row.risk_now) or row.happening_step is not None


def _alarm(row: Any, desk: Desk) -> dict[str, Any]:
    return {
        "pk": row.pk,
        "boat": row.boat,
        "words": short(row.words),
        "when": wording.moment(row.found_at, desk.base.timezone),
        "reporter": row.reporter,
        "word": row.alarm.replace("*", ""),
        "now": "danger now" if row.risk_now else "happening now" if row.happening_step else "",
    }


@at_base("see", post="look at an alarm")
def look(request: HttpRequest, desk: Desk, defect: int) -> HttpResponse:
    """One tap: nothing there, or there is something; who looked and what was seen are kept."""
    row = row_of(defect, desk)
    if (ended := end_of(row)) is not None:
        messages.info(request, f"{ended.by} said “{ended.step}” already.")
        return redirect("defect", base=desk.base.code, defect=row.pk)
    if "happening" in request.POST:
        tag, words = answer(request, _asked(row, desk), at=desk.now, who=desk.person.name, by=desk.person)
        getattr(messages, tag)(request, words)
        return redirect("look", base=desk.base.code, defect=row.pk)
    sent = request.method == "POST"
    data, files = (request.POST, request.FILES) if sent else (None, None)
    out = _out(row, desk)
    form = LookForm(data, files, initial={"who": desk.person.name, "seen": f"{RUNG} " if out else ""})
    phrases = BY_TELEPHONE if out else PHRASES
    complete = sent and _is_complete(form, request)
    if complete and (step := _kept(request, row, form, desk, phrases)) is not None:
        return _on(request, row, step, desk)
    context = _context(request, row, desk, form) | _beside(row, out, desk, phrases)
    return render(request, "maintenance/look.html", context, status=422 if sent else 200)


def _asked(row: Defect, desk: Desk) -> list[int]:
    """Only who sent a report is asked whether it is happening now."""
    return [row.case] if row.recorded_by_id == desk.person.pk else []


def _away(out: Charter | None, desk: Desk) -> str:
    """Until when she is out, and with whom; blank where she is in."""
    if out is None:
        return ""
    until = wording.day(out.ends_on, desk.today) + (f", {out.back_at:%H:%M}" if out.back_at else "")
    return f"She is out until {until}: nobody can look ashore; ring the skipper" + (
        f", {out.skipper}." if out.skipper else "."
    )


def _out(row: Defect, desk: Desk) -> Charter | None:
    """The charter she is away on; on the day she is due back somebody may stand beside her."""
    charter = under_way(row.boat, desk.base, desk.now)
    return charter if charter is not None and desk.today < charter.ends_on else None


def _beside(row: Defect, out: Charter | None, desk: Desk, phrases: dict[str, str]) -> dict[str, Any]:
    """The reports joined to it, which the look is of as well; and what to beware of, by each sort of
    alarm among them: in port for who goes to look, out there for who is aboard and is rung."""
    rows = Defect.objects.standing().filter(same_as=row.case).order_by("found_at", "pk")
    joined = list(rows.select_related("boat", "place", "component"))
    phrases_of = sorted({row.alarm, *(each.alarm for each in joined)} - {""}, key=alarm_wording.rank) or [""]
    told = [_caution(phrase, out) for phrase in phrases_of]
    return {
        "phrases": phrases,
        "away": _away(out, desk),
        "cautions": list(dict.fromkeys(told)),
        "joined": [_joined(each, desk) for each in joined],
        "photos": photos_of([row.case], desk),
    }


def _caution(phrase: str, out: Charter | None) -> str:
    first = alarm_wording.aboard(phrase) if out is not None else ""
    return first or alarm_wording.before_looking(phrase)


def _joined(row: Any, desk: Desk) -> dict[str, Any]:
    return {
        "words": row.words,
        "language": row.language,
        "when": wording.moment(row.found_at, desk.base.timezone),
        "reporter": row.reporter,
        "where": where_of(row),
        "photos": photos_of([row.case], desk),
        "word": row.alarm.replace("*", ""),
        "now": "danger now" if row.risk_now else "",
    }


def _is_complete(form: LookForm, request: HttpRequest) -> bool:
    if request.POST.get("found") not in PHRASES:
        form.add_error(None, WANTED)
    return form.is_valid()


def _kept(
    request: HttpRequest, row: Defect, form: LookForm, desk: Desk, phrases: dict[str, str]
) -> DefectStep | None:
    found, said = request.POST["found"], form.cleaned_data
    seen = "" if said["seen"].strip() == RUNG else said["seen"]

    def keep(client_id: str | None) -> DefectStep:
        return look_at(
            row,
            who=said["who"],
            seen=seen or phrases[found],
            nothing=found == "nothing",
            papers=[keep_paper(p, base=desk.base, at=desk.now, by=desk.person) for p in said["photos"]],
            at=desk.now,
            by=desk.person,
            client_id=client_id,
        )

    step: DefectStep | None = kept_once(DefectStep, request, form, keep)
    return step


def _on(request: HttpRequest, row: Defect, step: DefectStep, desk: Desk) -> HttpResponse:
    """Back to the week where there was nothing; on to the grade where there is something,
    to the defect where its words mean something else: it stays open, and nobody graded it."""
    messages.success(request, f"{row.boat.name}: {step.by} looked. “{short(step.why)}”.")
    if request.POST["found"] == "nothing":
        return redirect("week", base=desk.base.code)
    if request.POST["found"] == "something" and desk.may("grade and defer"):
        return redirect("grade", base=desk.base.code, defect=row.pk)
    return redirect("defect", base=desk.base.code, defect=row.pk)


def _context(request: HttpRequest, row: Any, desk: Desk, form: LookForm) -> dict[str, Any]:
    return {
        "desk": desk,
        "here": "defects",
        "defect": row,
        "alarm": _alarm(row, desk),
        "raised": bool(row.alarm or _now(row)),
        "where": where_of(row),
        "questions": questions(_asked(row, desk), desk.base.timezone),
        "may_look": desk.may("look at an alarm"),
        "form": form,
        "client_id": request.POST.get("client_id") or uuid.uuid4().hex,
    }

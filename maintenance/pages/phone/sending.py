"""A report or a return as a phone sends it: read, put to the boat it is about, and acknowledged."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.urls import reverse

from fleet.meters.models import Reading
from maintenance.defects.models import Defect
from maintenance.pages.phone.aboard import Matched, in_lines, match_dials, matched
from maintenance.pages.phone.body import Said, kept_on_phone, said
from maintenance.pages.phone.door import NothingSaid, for_phone, whole_body
from maintenance.pages.phone.photos import why_refused
from maintenance.pages.return_form import lines
from maintenance.pages.skipper_form import MOST_NAME, MOST_OWN_WORDS
from maintenance.pages.way_in import WayIn
from maintenance.turnaround.actions import DialRead, Report
from maintenance.turnaround.by_link import Told
from maintenance.turnaround.by_phone import report_by_phone, return_by_phone
from maintenance.turnaround.let_in import MOST_LINES, MOST_WORDS
from maintenance.turnaround.models import Return
from maintenance.turnaround.photos_to_come import Got, got, to_come
from maintenance.turnaround.questions import QUESTIONS

MOST_LANGUAGE = 12
YES_NO = {"yes": True, "no": False}


@for_phone("POST")
def reports(request: HttpRequest, way: WayIn) -> HttpResponse:
    """Takes one report: the words first, its photos follow."""
    given = said(whole_body(request))
    found = matched(given, way)
    kept = report_by_phone(
        way.link, found.boat, _told(given, found), kept_on_phone(given, {}, found.odd), at=way.now
    )
    return _acknowledged(way, given, kept)


@for_phone("POST")
def returns(request: HttpRequest, way: WayIn) -> HttpResponse:
    """Takes the skipper's return. No dial is refused; what is no number is told to the base in words."""
    given = said(whole_body(request))
    found = matched(given, way)
    match_dials(given, found)
    kept = kept_on_phone(given, found.photographed, found.odd)
    filed = return_by_phone(way.link, found.boat, _report(given, found, way), kept, at=way.now)
    return _acknowledged(way, given, filed)


def _told(given: Said, found: Matched) -> Told:
    works, words = given.one_of("works", Defect.Works.values), given.text("words", MOST_OWN_WORDS)
    return Told(
        words=words,
        beside=in_lines(found.notes, MOST_WORDS - len(words) - len("\n\n")),
        works=Defect.Works(works) if works else "",
        risk_now=YES_NO.get(given.one_of("danger", tuple(YES_NO))),
        place=found.where.place if found.where else None,
        component=found.where.component if found.where else None,
        used=found.used,
        reporter=given.short("reporter", MOST_NAME),
        language=_language(given),
    )


def _report(given: Said, found: Matched, way: WayIn) -> Report:
    """A return as it was said; NothingSaid where nothing was."""
    report = Report(
        filed_by=Return.FiledBy.SKIPPER,
        day=way.today,
        dials=[DialRead(meter, dial, how_known=_known(meter, found)) for meter, dial in found.dials.items()],
        defects=_few(lines(given.text("defects", MOST_WORDS))),
        lost=_few(lines(given.text("lost", MOST_WORDS))),
        beside=[in_lines(found.notes, MOST_WORDS)] if found.notes else [],
        used=found.used,
        answers=_answers(given),
        reporter=given.short("reporter", MOST_NAME) or way.charter.skipper,
    )
    told = [*report.dials, *report.defects, *report.lost, *report.beside, *report.used]
    answered = any(answer is not None for answer in report.answers.values())
    if not (told or answered or given.listed("photos")):
        raise NothingSaid("wanted hours, an answer, a word or a spare")
    return report


def _known(meter: object, found: Matched) -> str:
    return Reading.HowKnown.PHOTO if meter in found.photographed.values() else Reading.HowKnown.SEEN


def _few(told: list[str]) -> list[str]:
    """At most so many things; what goes beyond stands with the last of them."""
    if len(told) <= MOST_LINES:
        return told
    return [*told[: MOST_LINES - 1], "\n".join(told[MOST_LINES - 1 :])]


def _answers(given: Said) -> dict[str, bool | None]:
    said_of = given.get("answers")
    answers = Said(said_of if isinstance(said_of, dict) else {})
    return {q.code: YES_NO.get(answers.one_of(q.code, tuple(YES_NO))) for q in QUESTIONS}


def _language(given: Said) -> str:
    """The language of the page it was written on; the words may be in any."""
    code = given.short("language", MOST_LANGUAGE)
    return code if code in {known.partition("-")[0] for known, _ in settings.LANGUAGES} else ""


def _acknowledged(way: WayIn, given: Said, kept: Defect | Return) -> HttpResponse:
    """That it is kept, and how far its photos have come; the same however often it was sent."""
    told = {
        "id": given.id(),
        "kept_at": kept.recorded_at.isoformat(),
        "stand": "sent",
        "photos": {row.photo_id: _how_far(got(row)) for row in to_come(kept)},
        "sent": reverse("skipper-sent", kwargs={"secret": way.secret}),
    }
    return JsonResponse(told, status=201 if kept.recorded_at == way.now else 200)


def _how_far(so_far: Got) -> dict[str, Any]:
    refused = why_refused(so_far) if so_far.refused else ""
    return {"offset": so_far.offset, "whole": so_far.is_whole, "refused": refused}

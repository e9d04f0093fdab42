"""Every page a crew can meet by a link, brought about as it happens; what people typed is in Cyrillic,
so that every Latin letter on a page in Greek is the page's own or the base's."""

import io
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from fleet.charters.links import make_link, revoke_link
from fleet.charters.models import Charter
from fleet.papers.actions import keep_paper
from fleet.papers.content import clean
from maintenance.defects.actions import answer_report, end_defect, grade_defect, look_at, report_defect
from maintenance.defects.deferring import Until, defer_defect
from maintenance.defects.models import Defect
from maintenance.jobs.call_out import Call, open_call_out, say_step
from maintenance.planning.actions import cancel_charter, change_boat
from maintenance.spares.actions import SpareUsed
from maintenance.turnaround.actions import DialRead, Report, file_return
from maintenance.turnaround.by_link import Told, report_by_link, return_by_link
from maintenance.turnaround.handing_over import readiness_of
from maintenance.turnaround.let_in import MOST_AN_HOUR
from maintenance.turnaround.models import Handover
from maintenance.turnaround.questions import QUESTIONS
from tests.cast import NOW, TODAY, Cast
from tests.doors.sheets import MAIN, tap
from tests.papers import encoded, painted

WORDS, WHO, GAS = "Течёт помпа", "Иван", "Пахнет газом, smell of gas"
GAS_WORDS = {"smell", "of", "gas"}
Page = tuple[str, HttpResponse]


class Crew:
    """A phone that speaks one language, and a link."""

    def __init__(self, cast: Cast, language: str, charter: str = "S2") -> None:
        self.cast, self.phone = cast, Client(headers={"accept-language": language})
        self.link, self.secret = make_link(cast.charter[charter], at=NOW)

    def get(self, name: str = "skipper", **asked) -> HttpResponse:
        return self.phone.get(reverse(name, args=[self.secret]), asked)

    def tap(self, name: str = "skipper", **typed) -> HttpResponse:
        return tap(self.phone, self.get(name), MAIN, **typed)


def pages(cast: Cast, language: str) -> Iterator[Page]:
    """Each page by a name, in the order a charter has them."""
    Charter.objects.update(skipper=WHO)
    crew = Crew(cast, language)
    yield "nothing told", crew.get("skipper-told")
    yield from _told(crew)
    yield "the form", crew.get()
    yield "the return", crew.get("skipper-return")
    yield "nothing sent", crew.get("skipper-sent")
    yield "no signal", crew.phone.get(reverse("skipper-no-signal"))
    yield from _refused(crew)
    yield from _return_refused(crew)
    yield from _sent(crew)
    yield from _other_boat(crew)
    yield from _too_early(cast, language)
    yield from _too_many(cast, language)
    yield from _closed(cast, language)


def _told(crew: Crew) -> Iterator[Page]:
    cast, boat, charter = crew.cast, crew.cast.boat["sandpiper"], crew.cast.charter["S2"]
    picture = keep_paper(clean(encoded(painted())), base=cast.base, at=NOW, by=None)
    scratch = report_defect(boat, words=WORDS, at=NOW, hull="port bow", papers=[picture])
    winch = report_defect(boat, words=WORDS, at=NOW)
    grade_defect(winch, grade="limits use", who=WHO, at=NOW)
    grade_defect(scratch, grade="cosmetic", who=WHO, at=NOW)
    until = Until(day=TODAY + timedelta(days=9), charters=2, layup=True)
    defer_defect(winch, until, who=WHO, limit=WORDS, at=NOW)
    report_defect(boat, words=WORDS, at=NOW)
    ready = readiness_of(boat, charter, base=cast.base, at=NOW)
    given = Handover.objects.create(charter=charter, boat=boat, by=WHO, told=ready.told, recorded_at=NOW)
    yield "told", crew.get("skipper-told")
    told = ready.told | {"damage": [], "deferred": [], "open": [], "limits": []}
    Handover.objects.create(charter=charter, boat=boat, by=WHO, told=told, recorded_at=NOW, replaces=given)
    yield "told nothing of note", crew.get("skipper-told")


def _refused(crew: Crew) -> Iterator[Page]:
    yield "no words", crew.tap()
    zipped = io.BytesIO()
    with zipfile.ZipFile(zipped, "w") as archive:
        archive.writestr("x", "x")
    files = (zipped.getvalue(), b"", encoded(painted())[:400], b"%PDF-1.4 /Encrypt 1 0 R", b"\x01\x02")
    photos = [SimpleUploadedFile("ф.jpg", data, "image/jpeg") for data in (encoded(painted()), *files)]
    wrong = {"where": "system:nothing", "works": "perhaps", "danger": "perhaps", "about": "0"}
    kit = f"kit-{crew.cast.spare['impeller kit'].pk}-{crew.cast.place['sandpiper locker'].pk}"
    yield "everything wrong", crew.tap(words="Ш" * 30_000, photos=photos, **wrong, **{kit: "много"})
    many = [SimpleUploadedFile("ф.jpg", encoded(painted()), "image/jpeg") for _ in range(13)]
    yield "too many photos", crew.tap(words=WORDS, photos=many)


def _return_refused(crew: Crew) -> Iterator[Page]:
    yield "nothing said", crew.tap("skipper-return")
    dial = f"dial-{crew.cast.meter['sandpiper main'].pk}"
    yield "no number", crew.tap("skipper-return", **{dial: "много", "lost": "ш\n" * 41})
    yield "a doubt", crew.tap("skipper-return", **{dial: "12124"})


def _sent(crew: Crew) -> Iterator[Page]:
    cast, boat = crew.cast, crew.cast.boat["sandpiper"]
    kit = SpareUsed(cast.spare["impeller kit"], cast.place["sandpiper locker"], Decimal("1.5"))
    told = Told(words=WORDS, works="no", risk_now=True, place=kit.place, used=[kit], reporter=WHO)
    yield "sent with danger", crew.phone.get(crew.tap(words=WORDS, danger="yes", reporter=WHO)["Location"])
    rows = [report_by_link(crew.link, boat, replace(told, words=f"{WORDS} {n}"), at=NOW) for n in range(5)]
    answer_report(rows[0], words=WORDS, who=WHO, at=NOW)
    end_defect(rows[1], step="put right", who=WHO, at=NOW)
    end_defect(rows[2], step="no fault found", who=WHO, why=WORDS, at=NOW)
    look_at(rows[3], who=WHO, seen=WORDS, nothing=True, at=NOW)
    yield "how each stands", crew.get("skipper-sent")
    yield from _happening(crew)
    dials = [DialRead(cast.meter["sandpiper main"], Decimal("1190.4"))]
    answers = {q.code: n != 1 for n, q in enumerate(QUESTIONS)} | {QUESTIONS[2].code: None}
    said = Report(filed_by="skipper", day=TODAY, dials=dials, answers=answers, used=[kit], reporter=WHO)
    return_by_link(crew.link, boat, said, at=NOW)
    file_return(boat, cast.charter["S2"], Report(filed_by="base", day=TODAY, reporter=WHO), at=NOW)
    yield "a return sent", crew.get("skipper-sent")
    yield "a return before", crew.get("skipper-return")
    yield "the same again", crew.phone.get(crew.tap(words=WORDS, danger="yes", reporter=WHO)["Location"])


def _happening(crew: Crew) -> Iterator[Page]:
    crew.tap(words=GAS)
    row = Defect.objects.latest("pk")
    asked = crew.get("skipper-sent")
    yield "is it happening", asked
    address = reverse("skipper-happening", args=[crew.secret])
    yield "not understood", crew.phone.post(address, {"happening": "x"}, follow=True)
    yield "happening now", crew.phone.post(address, {"happening": "yes", "defect": row.pk}, follow=True)
    yield "answered before", crew.phone.post(address, {"happening": "no", "defect": row.pk}, follow=True)
    for number, answer in enumerate(("no", "never")):
        crew.tap(words=f"{GAS} {number}")
        latest = Defect.objects.latest("pk").pk
        said = {"happening": answer, "defect": latest}
        yield f"answered {answer}", crew.phone.post(address, said, follow=True)
    charter = crew.cast.charter["S2"]
    call = open_call_out(row.boat, Call(WORDS, NOW, ""), defects=[row], charter=charter, at=NOW)
    say_step(call, "promised", who=WHO, promised_at=NOW + timedelta(hours=5), at=NOW)
    yield "somebody comes", crew.get("skipper-sent")
    for step in ("on the way", "there"):
        say_step(call, step, who=WHO, at=NOW)
        yield step, crew.get("skipper-sent")


def _other_boat(crew: Crew) -> Iterator[Page]:
    opened = crew.get()
    change_boat(crew.cast.charter["S2"], crew.cast.boat["twice shy"], from_on=TODAY, why=WORDS, at=NOW)
    yield "which boat", tap(crew.phone, opened, MAIN, words=WORDS)
    yield "another boat", crew.get()
    yield "about the boat before", crew.get(about=crew.cast.boat["sandpiper"].pk)
    yield "told of the boat before", crew.get("skipper-told")


def _too_early(cast: Cast, language: str) -> Iterator[Page]:
    crew = Crew(cast, language, "S3")
    yield "before it begins", crew.get("skipper-told")
    yield "too early", crew.get("skipper-return")


def _too_many(cast: Cast, language: str) -> Iterator[Page]:
    crew = Crew(cast, language, "S3")
    for n in range(MOST_AN_HOUR):
        report_by_link(crew.link, crew.cast.boat["sandpiper"], Told(words=f"{WORDS} {n}"), at=NOW)
    yield "too many", crew.tap(words=WORDS)


def _closed(cast: Cast, language: str) -> Iterator[Page]:
    shut, off = Crew(cast, language, "S4"), Crew(cast, language, "S4")
    opened = shut.get()
    revoke_link(shut.link, at=NOW)
    yield "closed with words typed", tap(shut.phone, opened, MAIN, words=WORDS)
    cancel_charter(cast.charter["S4"], at=NOW)
    yield "called off", off.get()
    yield "incomplete", off.phone.get("/s/")
    yield "unknown", off.phone.get("/s/tryitaboardnothingissecretsm/")
    yield "no such photo", Crew(cast, language).phone.get(f"/s/{Crew(cast, language).secret}/papers/x/")
    ended = Crew(cast, language)
    type(ended.link).objects.filter(pk=ended.link.pk).update(ends_at=NOW - timedelta(hours=1))
    yield "ended", ended.get()

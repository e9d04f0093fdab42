"""One thing of each table the API tells of, of one boat and base, so that each address can be walked."""

from datetime import UTC, datetime

from fleet.bases.models import Base
from fleet.boats.models import Boat, BoatTerms, Component, Fitting, Meter, Place, PrintedDate
from fleet.charters.links import make_link
from fleet.charters.models import CharterBoat, Link
from fleet.ledger import enter
from fleet.meters.models import Reading, UseRate
from fleet.papers.actions import keep_paper
from fleet.people.actions import make_token
from fleet.people.models import Membership
from maintenance.api.hold_rules import BY_BASE
from maintenance.defects.actions import end_defect, grade_defect, report_defect
from maintenance.defects.deferring import Until, defer_defect
from maintenance.defects.looking import record_look, record_touch
from maintenance.defects.models import AlarmWord, Defect
from maintenance.jobs.actions import Work, record_work
from maintenance.jobs.away import send_away
from maintenance.jobs.call_out import Call, open_call_out, say_step
from maintenance.jobs.models import PartTaken
from maintenance.release.actions import Name, hold_boat, say_held
from maintenance.release.laying_up import lay_up, state_on
from maintenance.release.models import FittingOut
from maintenance.safety.models import Adoption, Requirement
from maintenance.turnaround.actions import Report, file_return
from maintenance.turnaround.models import Handover, RoundItem
from maintenance.turnaround.walking import Tick, lines_of, walk
from tests.cast import NOW, TODAY, Cast
from tests.doors.api_row import Ids, photo
from tests.doors.api_things_spares import spares_and_orders


def things(cast: Cast, boat: str, kind: str, task: str, charter: str, login: str) -> Ids:
    """The number of one thing of each table, of one boat and base."""
    ship, part = cast.boat[boat], cast.part[f"{boat} {kind}"]
    base = Base.objects.get(pk=ship.terms.get().base_id)
    work = Work(datetime(2026, 5, 25, tzinfo=UTC).date(), [cast.task(f"{boat} {kind}", task)])
    defect = report_defect(ship, words="Leaks", at=NOW)
    job = record_work(ship, work, at=NOW)
    place = Place.objects.filter(boat=ship).first()
    rate, _ = UseRate.objects.get_or_create(base=base, defaults={"fitted_on": TODAY, "hours_per_day": 3})
    changed = CharterBoat(
        charter=cast.charter[charter], boat=ship, from_on=TODAY, from_at=NOW, why="", recorded_at=NOW
    )
    changed.save()
    touch = record_touch(ship, day=TODAY, at=NOW)
    said = Name("A. Fitter")
    release = say_held(ship, cast.charter[charter], said, why="Rig", at=NOW)
    call_out = open_call_out(ship, Call("Long cove", NOW), words="Engine stops", at=NOW)
    item = RoundItem.objects.create(base=base, number=1, words="Bilge dry")
    walked = walk(ship, [Tick(item, "in order")], at=NOW).round
    handed = Handover(charter=cast.charter[charter], boat=ship, by="X", told={"boat": ship.name})
    if state_on(cast.boat["blank page"], TODAY) == "in use":
        lay_up(cast.boat["blank page"], TODAY, at=NOW)
    lacks = report_defect(ship, words="Taken", at=NOW)
    taken = PartTaken(component=part, from_boat=ship, to_boat=ship, day=TODAY, lacks=lacks)
    rows = {
        "adoptions": enter(Adoption(boat=ship, list="coastal", from_on=TODAY), at=NOW),
        "alarm-words": AlarmWord.objects.create(base=base, phrase="fizzing"),
        "away-steps": send_away(part, whom="X", day=TODAY, at=NOW),
        "bases": base,
        "boats": ship,
        "call-out-steps": say_step(call_out, "on the way", who="X", at=NOW),
        "call-outs": call_out,
        "charter-boats": changed,
        "charters": cast.charter[charter],
        "components": part,
        "contract-clocks": base,
        "defect-steps": end_defect(
            report_defect(ship, words="Hums", at=NOW), step="put right", who="X", at=NOW
        ),
        "defects": defect,
        "deferrals": defer_defect(graded(ship), Until(charters=5), who="X", at=NOW),
        "fitting-outs": enter(FittingOut(boat=ship, signed_on=TODAY, who="X"), at=NOW),
        "fittings": Fitting.objects.get(component=part),
        "graded": graded(ship),
        "handovers": enter(handed, at=NOW),
        "holds": hold_boat(ship, why="Smells of diesel", who="X", at=NOW),
        "hull-looks": record_look(
            ship, day=TODAY, who="X", method="diver", seen="A scratch", sound=True, touch=touch, at=NOW
        ),
        "intervals": cast.interval[task],
        "jobs": job,
        "kinds": part.kind,
        "links": make_link(cast.charter[charter], at=NOW)[0],
        "memberships": Membership.objects.filter(person=cast.person[login], base=base).get(),
        "meters": Meter.objects.filter(boat=ship).first(),
        "papers": keep_paper(photo(40 + base.pk).read(), base=base, at=NOW),
        "parts-taken": enter(taken, at=NOW),
        "places": place,
        "printed-dates": _printed(part),
        "readings": Reading.objects.filter(meter__boat=ship, standing="used").latest("day", "pk"),
        "release-names": release.names.get(),
        "releases": release,
        "requirements": Requirement.objects.create(base=base, list="coastal", kind=part.kind, number=9),
        "returns": file_return(ship, None, Report(filed_by="base", day=TODAY), at=NOW),
        "round-items": item,
        "round-lines": lines_of(walked)[item.pk],
        "rounds": walked,
        "services": job.services.get().service,
        "terms": BoatTerms.objects.get(boat=ship),
        "tokens": make_token(cast.person[login], name="walk", at=NOW)[0],
        "touches": touch,
        "use-rates": rate,
    } | spares_and_orders(cast, base, ship, place)
    assert Link.objects.exists()
    assert Component.objects.exists()
    return {word: row.pk for word, row in rows.items()} | {"hold-rules": base.pk * BY_BASE + 2}


def graded(boat: Boat) -> Defect:
    """Something cosmetic that was graded, and may wait."""
    defect = report_defect(boat, words="Scratch", at=NOW)
    grade_defect(defect, grade="cosmetic", who="X", at=NOW)
    return defect


def _printed(part: Component) -> PrintedDate:
    row = PrintedDate(component=part, what="test", as_written="2027-01", recorded_at=NOW)
    row.save()
    return row

"""Section 9 of the design, address by address of the API: who reads, who writes, and a body that does."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from decimal import Decimal
from io import BytesIO
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from fleet.bases.models import Base
from fleet.boats.models import Boat, BoatTerms, Component, Fitting, Meter, Place, PrintedDate
from fleet.charters.links import make_link
from fleet.charters.models import CharterBoat, Link
from fleet.meters.models import Reading, UseRate
from fleet.papers.actions import keep_paper
from fleet.people.actions import make_token
from fleet.people.models import Membership
from maintenance.defects.actions import end_defect, grade_defect, report_defect
from maintenance.defects.deferring import Until, defer_defect
from maintenance.defects.looking import record_look, record_touch
from maintenance.defects.models import Defect
from maintenance.jobs.actions import Work, record_work
from maintenance.jobs.away import send_away
from maintenance.release.actions import Name, hold_boat, say_held
from maintenance.spares.models import Allowance, StockMove
from maintenance.turnaround.actions import Report, file_return
from tests.cast import NOW, TODAY, Cast

ALL, WORKSHOP, DESK, MANAGER = (
    frozenset({"engineer", "manager", "office"}),
    frozenset({"engineer", "manager"}),
    frozenset({"manager", "office"}),
    frozenset({"manager"}),
)
NOBODY: frozenset[str] = frozenset()
Ids = dict[str, int]


@dataclass(frozen=True)
class Row:
    """Who may do what at one word's addresses; `adds` is a good body, `changes` a good change."""

    reads: frozenset[str] = ALL
    one: bool = True  # whether a row stands at an address of its own
    posts: frozenset[str] = NOBODY
    patches: frozenset[str] = NOBODY
    corrects: frozenset[str] = NOBODY
    deletes: frozenset[str] = NOBODY
    adds: Callable[[Ids], dict[str, Any]] = lambda ids: {}
    changes: dict[str, Any] = field(default_factory=dict)
    shared: bool = False  # all bases of a copy share these rows


DAY = TODAY.isoformat()
VOID = {"void": True}


def photo(width: int = 40) -> SimpleUploadedFile:
    kept = BytesIO()
    Image.new("RGB", (width, 30), "white").save(kept, "JPEG")
    return SimpleUploadedFile("raft.jpg", kept.getvalue(), content_type="image/jpeg")


ROWS: dict[str, Row] = {
    "allowances": Row(
        posts=MANAGER,
        patches=MANAGER,
        deletes=MANAGER,
        adds=lambda ids: {"spare": "oil", "place": ids["places"], "quantity": 2, "from_on": DAY},
        changes={"quantity": 5},
    ),
    "audit": Row(one=False),
    "away-steps": Row(
        posts=WORKSHOP,
        corrects=WORKSHOP,
        adds=lambda ids: {
            "component": "twice-shy-starboard-engine-oil",
            "step": "sent away",
            "day": DAY,
            "whom": "A workshop",
        },
        changes=VOID,
    ),
    "bases": Row(patches=MANAGER, changes={"phone": "+30 000"}),
    "boats": Row(
        posts=DESK,
        patches=DESK,
        adds=lambda ids: {"code": "new-one", "name": "New One", "base": "harbour"},
        changes={"design": "Sloop 38"},
    ),
    "charter-boats": Row(
        posts=DESK,
        adds=lambda ids: {
            "charter": "S4",
            "boat": "twice-shy",
            "from_on": "2026-06-06",
            "why": "her engine is out",
        },
    ),
    "charters": Row(
        posts=DESK,
        patches=DESK,
        adds=lambda ids: {
            "code": "N1",
            "boat": "twice-shy",
            "starts_on": "2026-07-04",
            "ends_on": "2026-07-11",
        },
        changes={"berth": "B2"},
    ),
    "components": Row(
        posts=WORKSHOP,
        patches=WORKSHOP,
        adds=lambda ids: {
            "code": "new-raft",
            "kind": "life-raft",
            "boat": "twice-shy",
            "fitted_on": DAY,
        },
        changes={"serial": "0042"},
    ),
    "counts": Row(
        reads=NOBODY,
        one=False,
        posts=WORKSHOP,
        adds=lambda ids: {"spare": "oil", "place": ids["places"], "counted": 3, "day": DAY},
    ),
    "defect-steps": Row(
        posts=WORKSHOP,
        corrects=WORKSHOP,
        adds=lambda ids: {"defect": ids["defects"], "step": "put right", "who": "A. Fitter"},
        changes=VOID,
    ),
    "defects": Row(
        posts=ALL,
        corrects=ALL,
        adds=lambda ids: {"boat": "twice-shy", "words": "Pump hums"},
        changes=VOID,
    ),
    "deferrals": Row(
        posts=WORKSHOP,
        corrects=WORKSHOP,
        adds=lambda ids: {"defect": ids["graded"], "until_on": "2026-06-30", "limit_text": "No spinnaker"},
        changes=VOID,
    ),
    "due": Row(one=False),
    "fittings": Row(
        posts=WORKSHOP,
        corrects=WORKSHOP,
        adds=lambda ids: {
            "component": "twice-shy-life-raft",
            "boat": "blank-page",
            "on": DAY,
            "why": "hers is away",
        },
        changes=VOID,
    ),
    "holds": Row(
        posts=WORKSHOP,
        corrects=WORKSHOP,
        adds=lambda ids: {"boat": "twice-shy", "why": "Smells of diesel"},
        changes={"why": "The filter was loose"},
    ),
    "hull-looks": Row(
        posts=WORKSHOP,
        adds=lambda ids: {
            "boat": "twice-shy",
            "day": DAY,
            "method": "diver",
            "seen": "A scratch",
            "sound": True,
            "touch": ids["touches"],
        },
    ),
    "intervals": Row(
        posts=MANAGER,
        patches=MANAGER,
        adds=lambda ids: {"code": "wipe", "kind": "engine-oil", "task": "Wipe", "every_months": 6},
        changes={"minutes": 25},
        shared=True,
    ),
    "jobs": Row(
        posts=WORKSHOP,
        corrects=WORKSHOP,
        adds=lambda ids: {
            "boat": "twice-shy",
            "day": DAY,
            "tasks": [{"component": "twice-shy-starboard-engine-oil", "interval": "change"}],
        },
        changes=VOID,
    ),
    "kinds": Row(
        posts=MANAGER,
        patches=MANAGER,
        adds=lambda ids: {"code": "hose", "name": "Hose", "system": "engine"},
        changes={"function": "cools"},
        shared=True,
    ),
    "links": Row(reads=DESK, posts=DESK, deletes=DESK, adds=lambda ids: {"charter": "T2"}),
    "may-sail": Row(one=False),
    "memberships": Row(
        posts=MANAGER,
        patches=MANAGER,
        adds=lambda ids: {
            "base": "harbour",
            "login": "nia",
            "name": "Nia Torrel",
            "password": "seven-boats-back",
            "role": "engineer",
        },
        changes={"until_on": "2026-12-31"},
    ),
    "meters": Row(
        posts=DESK,
        patches=DESK,
        adds=lambda ids: {"boat": "twice-shy", "name": "genset"},
        changes={"counts": "running"},
    ),
    "papers": Row(posts=ALL, adds=lambda ids: {"base": "harbour", "file": photo()}),
    "places": Row(
        posts=DESK,
        patches=DESK,
        adds=lambda ids: {"base": "harbour", "code": "loft", "name": "Loft", "sort": "store"},
        changes={"name": "Under the bunk"},
    ),
    "printed-dates": Row(
        posts=WORKSHOP,
        corrects=WORKSHOP,
        adds=lambda ids: {"component": "twice-shy-life-raft", "as_written": "2027-06-15"},
        changes=VOID,
    ),
    "questions": Row(one=False, shared=True),
    "readings": Row(
        posts=ALL,
        corrects=ALL,
        adds=lambda ids: {"boat": "twice-shy", "meter": "starboard", "day": DAY, "dial": 2350},
        changes=VOID,
    ),
    "release-names": Row(
        posts=WORKSHOP,
        adds=lambda ids: {"release": ids["releases"], "name": "B. Other", "how": "confirmed"},
    ),
    "releases": Row(
        posts=WORKSHOP,
        adds=lambda ids: {"charter": "T2", "names": [{"name": "A. Fitter"}], "held": True, "why": "Rig"},
    ),
    "returns": Row(
        posts=ALL,
        corrects=ALL,
        adds=lambda ids: {"boat": "twice-shy", "day": DAY, "defects": ["Leaks"]},
        changes=VOID,
    ),
    "services": Row(
        posts=WORKSHOP,
        corrects=WORKSHOP,
        adds=lambda ids: {
            "component": "twice-shy-starboard-engine-oil",
            "interval": "change",
            "done_on": DAY,
        },
        changes=VOID,
    ),
    "spares": Row(
        posts=MANAGER,
        patches=MANAGER,
        adds=lambda ids: {"code": "06E2", "name": "Seal"},
        changes={"supplier": "A chandler"},
        shared=True,
    ),
    "stock": Row(one=False),
    "stock-moves": Row(
        posts=WORKSHOP,
        corrects=WORKSHOP,
        adds=lambda ids: {
            "spare": "oil",
            "to_place": ids["places"],
            "quantity": 2,
            "why": "received",
            "day": DAY,
        },
        changes=VOID,
    ),
    "terms": Row(
        posts=DESK,
        corrects=DESK,
        adds=lambda ids: {"boat": "twice-shy", "from_on": DAY, "persons": 8},
        changes={"persons": 9},
    ),
    "tokens": Row(posts=ALL, deletes=ALL, adds=lambda ids: {"name": "a new one"}),
    "touches": Row(
        posts=ALL, adds=lambda ids: {"boat": "twice-shy", "day": DAY, "touched": "rudder", "force": "soft"}
    ),
    "use-rates": Row(),
}


def things(cast: Cast, boat: str, kind: str, task: str, charter: str, login: str) -> Ids:
    """The number of one thing of each table, of one boat and base."""
    ship, part = cast.boat[boat], cast.part[f"{boat} {kind}"]
    base = Base.objects.get(pk=ship.terms.get().base_id)
    work = Work(datetime(2026, 5, 25, tzinfo=UTC).date(), [cast.task(f"{boat} {kind}", task)])
    defect = report_defect(ship, words="Leaks", at=NOW)
    job = record_work(ship, work, at=NOW)
    place = Place.objects.filter(boat=ship).first()
    moved = StockMove(spare=cast.spare["oil"], to_place=place, quantity=Decimal(2), why="received", day=TODAY)
    moved.recorded_at = NOW
    moved.save()
    rate, _ = UseRate.objects.get_or_create(base=base, defaults={"fitted_on": TODAY, "hours_per_day": 3})
    changed = CharterBoat(
        charter=cast.charter[charter], boat=ship, from_on=TODAY, from_at=NOW, why="", recorded_at=NOW
    )
    changed.save()
    touch = record_touch(ship, day=TODAY, at=NOW)
    said = Name("A. Fitter")
    release = say_held(ship, cast.charter[charter], said, why="Rig", at=NOW)
    rows = {
        "allowances": Allowance.objects.create(
            spare=cast.spare["gas bottle"], place=place, quantity=1, from_on=TODAY
        ),
        "away-steps": send_away(part, whom="X", day=TODAY, at=NOW),
        "bases": base,
        "boats": ship,
        "charter-boats": changed,
        "charters": cast.charter[charter],
        "components": part,
        "defect-steps": end_defect(
            report_defect(ship, words="Hums", at=NOW), step="put right", who="X", at=NOW
        ),
        "defects": defect,
        "deferrals": defer_defect(graded(ship), Until(charters=5), who="X", at=NOW),
        "fittings": Fitting.objects.get(component=part),
        "graded": graded(ship),
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
        "places": place,
        "printed-dates": _printed(part),
        "readings": Reading.objects.filter(meter__boat=ship, standing="used").latest("day", "pk"),
        "release-names": release.names.get(),
        "releases": release,
        "returns": file_return(ship, None, Report(filed_by="base", day=TODAY), at=NOW),
        "services": job.services.get().service,
        "spares": cast.spare["oil"],
        "stock-moves": moved,
        "terms": BoatTerms.objects.get(boat=ship),
        "tokens": make_token(cast.person[login], name="walk", at=NOW)[0],
        "touches": touch,
        "use-rates": rate,
    }
    assert Link.objects.exists()
    assert Component.objects.exists()
    return {word: row.pk for word, row in rows.items()}


def graded(boat: Boat) -> Defect:
    """Something cosmetic that was graded, and may wait."""
    defect = report_defect(boat, words="Scratch", at=NOW)
    grade_defect(defect, grade="cosmetic", who="X", at=NOW)
    return defect


def _printed(part: Component) -> PrintedDate:
    row = PrintedDate(component=part, what="test", as_written="2027-01", recorded_at=NOW)
    row.save()
    return row

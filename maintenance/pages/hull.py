"""The hull of one boat: known damage by place with dated photos, every touch for life, every look."""

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from fleet.boats.models import Boat
from fleet.pages.desk import Desk, at_base
from maintenance.defects.facts import open_now
from maintenance.defects.hull import HullLook, HullLookPaper, Touch
from maintenance.defects.models import ENDINGS, Defect, DefectStep
from maintenance.defects.rules import (
    ASHORE,
    CAMERA,
    DIVER,
    FROM_ABOARD,
    HULL_PLACES,
    LIMITS_USE,
    UNDER_WATER,
    UNSAFE,
    Look,
    settled,
    wants_ashore,
)
from maintenance.pages import wording
from maintenance.pages.defect_story import dated_photo, photos_of
from maintenance.pages.hull_plan import marks
from maintenance.pages.reported import told, worst_first

Told = dict[str, Any]
HOW = {ASHORE: "ashore", DIVER: "by a diver", CAMERA: "by camera", FROM_ABOARD: "from aboard"}
CAUTIONS = (
    "How a touch felt says nothing about the keel. A diver or a camera does not see what holds the keel: "
    "its bolts, the structure inside, the laminate. Where the keel took it, or it was hard, "
    "she is looked at out of the water.",
    "The maker, a surveyor and the authority decide what is sound. After a grounding, tell the certifying "
    "authority where there is one (MGN 280, 27.7).",
)


@at_base("see")
def hull(request: HttpRequest, desk: Desk, boat: int) -> HttpResponse:
    """Her hull's register, on one page."""
    ship = get_object_or_404(Boat.objects.of_base(desk.base.pk, desk.today), pk=boat)
    places = _places(ship, desk)
    counts = {place["place"]: len(place["damage"]) for place in places}
    bad = frozenset(p["place"] for p in places if any(d["bad"] for d in p["damage"]))
    drawn = marks(counts, bad)
    numbers = {mark.place: mark.number for mark in drawn}
    touches, looks = _register(ship, desk)
    context = {
        "desk": desk,
        "here": "boats",
        "boat": ship,
        "marks": drawn,
        "places": [place | {"number": numbers[place["place"]]} for place in places],
        "touches": touches,
        "looks": looks,
        "mended": _mended(ship, desk),
        "cautions": CAUTIONS,
        "lede": _lede(counts, touches),
        "printed": wording.moment(desk.now, desk.base.timezone),
        "may_report": desk.may("report a defect"),
        "may_look": desk.may("look at a hull"),
    }
    return render(request, "maintenance/hull.html", context)


def _lede(counts: dict[str, int], touches: Sequence[Told]) -> str:
    damage = wording.many(sum(counts.values()), "known damage", "known damages")
    held = sum(touch["holds"] for touch in touches)
    text = f"{damage}, {wording.many(len(touches), 'touch', 'touches')} in the register."
    if held:
        text += (
            f" {wording.sentence(wording.many(held, 'touch', 'touches'))} not settled by a look: she is held."
        )
    return wording.sentence(text)


def _places(boat: Boat, desk: Desk) -> list[Told]:
    """What is open on her hull, by place from bow to bottom."""
    by_place: dict[str, list[Any]] = defaultdict(list)
    for row in worst_first(open_now(desk.base, [boat.pk], desk.today)):
        if row.hull:
            by_place[row.hull].append(row)
    return [
        {
            "place": place,
            "under": place in UNDER_WATER,
            "damage": [_damage(row, desk) for row in by_place[place]],
        }
        for place in HULL_PLACES
        if by_place[place]
    ]


def _damage(row: Any, desk: Desk) -> Told:
    bad = row.grade in (UNSAFE, LIMITS_USE)
    return told(row, desk.today) | {"bad": bad, "pictures": photos_of([row.case], desk)}


def _mended(boat: Boat, desk: Desk) -> list[Told]:
    """What was on her hull and has ended, the latest first."""
    open_ones = Defect.objects.open().filter(boat=boat).values("pk")
    rows = Defect.objects.standing().filter(boat=boat, same_as__isnull=True).exclude(hull="")
    rows = rows.exclude(pk__in=open_ones)
    ends = DefectStep.objects.standing().filter(defect__boat=boat, step__in=ENDINGS)
    ended = {step.defect_id: step for step in ends}
    found = [(row, ended[row.case]) for row in rows.order_by("-pk") if row.case in ended]
    return [
        {
            "pk": row.pk,
            "place": row.hull,
            "words": row.words,
            "step": step.step,
            "by": step.by,
            "day": desk.base.day_of(step.recorded_at),
        }
        for row, step in found
    ]


def _register(boat: Boat, desk: Desk) -> tuple[list[Told], list[Told]]:
    """Her touches with their looks, and the looks for no touch; the latest first."""
    papers: dict[int, list[Told]] = defaultdict(list)
    for link in HullLookPaper.objects.filter(look__boat=boat).select_related("paper", "look"):
        papers[link.look_id].append(dated_photo(link.paper, link.look.recorded_at, desk))
    looks: dict[int | None, list[HullLook]] = defaultdict(list)
    for look in HullLook.objects.standing().filter(boat=boat).order_by("day", "pk"):
        looks[look.touch_id].append(look)
    rows = Touch.objects.standing().filter(boat=boat).select_related("charter", "defect")
    touches = [_touch(touch, looks[touch.pk], papers) for touch in rows.order_by("-day", "-pk")]
    return touches, [_look(look, papers) for look in reversed(looks[None])]


def _touch(touch: Touch, looks: Sequence[HullLook], papers: dict[int, list[Told]]) -> Told:
    seen = [Look(k.day, k.method, k.sound, k.touched) for k in looks]
    held = not settled(touch.day, touch.touched, touch.force, seen)
    return {
        "row": touch,
        "holds": held,
        "stands": _stands(touch, seen, held),
        "looks": [_look(look, papers) for look in looks],
    }


def _stands(touch: Touch, looks: Sequence[Look], held: bool) -> str:
    """How it was looked at last, whether that is enough, and by which rule."""
    ashore = wants_ashore(touch.touched, touch.force, looks)
    how = f"looked at {HOW[looks[-1].method]}" if looks else ""
    if not held:
        why = "" if ashore else ", nothing says that the keel took it, or that it was hard"
        return f"enough, {how}{why}; nothing found that keeps her in"
    if looks and not looks[-1].sound:
        return f"{how}, not sound: she is held"
    if ashore:
        return f"{f'{how}, not enough, wanted a look ashore' if looks else 'no look ashore yet'}: she is held"
    return "not looked at yet: she is held"


def _look(look: HullLook, papers: dict[int, list[Told]]) -> Told:
    return {"row": look, "photos": papers[look.pk]}

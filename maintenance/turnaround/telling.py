"""What the skipper of a charter is told when a boat is handed over: rows in, frozen words out."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from typing import Any

from fleet.bases.models import Base
from fleet.boats.dates import spoken
from maintenance.defects.models import Defect, DefectPaper
from maintenance.defects.rules import Waits
from maintenance.release.actions import by_one_person
from maintenance.release.facts import Judged
from maintenance.release.known import OpenDefect
from maintenance.release.models import Release, ReleaseName
from maintenance.release.rule_list import HELD
from maintenance.turnaround.facts import Turn
from maintenance.turnaround.models import Return, Round, RoundItem, RoundLine
from maintenance.turnaround.open_jobs import OpenJob
from maintenance.turnaround.seal_said import seal_said
from maintenance.turnaround.usual_round import SEALS
from maintenance.turnaround.walking import lines_of


def told_of(judged: Judged, turn: Turn, base: Base, jobs: Collection[OpenJob]) -> dict[str, Any]:
    """Everything a skipper is told of a boat as things stand, in words and plain values: it is kept
    with the handover and never worked out again. Days are ISO; a blank is what nobody recorded.
    `open_jobs` are for the base: what it knew of her work when she was handed over."""
    defects = judged.ship.defects
    hulls = _hulls(d.row for d in defects)
    seal = seal_said(judged.boat, turn.signed)
    return {
        "boat": judged.boat.name,
        "base": base.name,
        "phone": base.phone,
        "limits": list(judged.limits),
        "damage": _damage(defects, hulls),
        "deferred": [_deferred(d) for d in defects if d.waits is not None],
        "open": [_open(d) for d in defects if d.waits is None and not hulls.get(d.row)],
        "released": _released(release_in_force(judged)),
        "inspected": _inspected(turn),
        "round": _round(turn.signed),
        "seal": SEALS.get(seal.state, ""),
        "seal_number": seal.number,
        "open_jobs": list(jobs),
    }


def release_in_force(judged: Judged) -> Release | None:
    """The release that lets her go, if one stands."""
    stands = judged.standing.verdict not in ("", HELD)
    return judged.release if stands else None


def until_said(waits: Waits) -> str:
    """Until when something waits, as it is told."""
    ends = [f"until {spoken(waits.until_on)}"] if waits.until_on is not None else []
    left = waits.charters_left
    if left is not None:
        ends.append("until she is back from this charter" if left == 1 else f"for {left} charters")
    return ", or ".join([*ends, *(["until lay-up"] if waits.at_layup else [])])


def _damage(defects: Iterable[OpenDefect], hulls: dict[int, str]) -> list[dict[str, Any]]:
    """What is open at a place on her hull, with its photos, place by place."""
    known = [d for d in defects if hulls.get(d.row)]
    photos = _photos([d.case for d in known])
    said = [{"place": hulls[d.row], **_open(d), "photos": photos[d.case]} for d in known]
    return sorted(said, key=lambda one: one["place"])


def _hulls(rows: Iterable[int]) -> dict[int, str]:
    found = Defect.objects.filter(pk__in=list(rows)).exclude(hull="")
    return dict(found.values_list("pk", "hull"))


def _photos(cases: Collection[int]) -> dict[int, list[str]]:
    found: dict[int, list[str]] = defaultdict(list)
    rows = DefectPaper.objects.filter(defect__in=cases, paper__mime__startswith="image/").order_by("pk")
    for case, sha256 in rows.values_list("defect_id", "paper__sha256"):
        found[case].append(sha256)
    return found


def _open(d: OpenDefect) -> dict[str, str]:
    return {"words": d.words, "grade": d.grade, "found_on": d.found_on.isoformat() if d.found_on else ""}


def _deferred(d: OpenDefect) -> dict[str, str]:
    until = until_said(d.waits) if d.waits is not None else ""
    return {**_open(d), "until": until, "limit": d.limit, "inoperative": d.inoperative}


def _released(release: Release | None) -> dict[str, Any] | None:
    if release is None:
        return None
    names = release.names.standing().exclude(how=ReleaseName.How.SEEN).order_by("pk")
    return {
        "verdict": release.verdict,
        "at": release.recorded_at.isoformat(),
        "by": [{"name": name.name, "how": name.how} for name in names],
        "by_one_person": by_one_person(release),
        "let_be": [reason["words"] for reason in release.reasons],
        "why": release.why,
    }


def _inspected(turn: Turn) -> dict[str, str] | None:
    row: Return | None = turn.inspected
    if row is None:
        return None
    who = row.inspected_by or row.recorded_by  # never the reporter: that may be the skipper
    by = who.name if who is not None else ""
    return {"charter": turn.last.code if turn.last else "", "day": row.day.isoformat(), "by": by}


def _round(signed: Round | None) -> dict[str, Any] | None:
    if signed is None:
        return None
    lines = [line for line in lines_of(signed).values() if line.item.asks != RoundItem.Asks.SEAL]
    return {
        "by": signed.signed_by,
        "day": signed.day.isoformat(),
        "fails": [_noted(line) for line in lines if line.state == RoundLine.State.FAILS],
        "not_aboard": [_noted(line) for line in lines if line.state == RoundLine.State.NOT_ABOARD],
    }


def _noted(line: RoundLine) -> str:
    return f"{line.words}: {line.note}" if line.note else line.words

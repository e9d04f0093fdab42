"""What is fitted to a boat of each design, and by which hour meter its hours are counted."""

from collections.abc import Iterator
from dataclasses import dataclass

ENGINE = ("engine-oil", "impeller", "drive-belt", "fuel-filters", "coolant")
EVERYWHERE = (
    ("anodes", ""),
    ("gas-bottle", "gas locker"),
    ("gas-hose", "gas locker"),
    ("gas-regulator", "gas locker"),
    ("life-raft", "transom"),
    ("hydrostatic-release", "raft cradle"),
    ("epirb", "companionway"),
    ("flares", "chart table"),
    ("extinguisher", "galley"),
    ("extinguisher", "engine space"),
    ("lifejackets", "saloon locker"),
    ("co-alarm", "saloon"),
    ("first-aid", "chart table"),
    ("bilge-pump", "electric"),
    ("bilge-pump", "hand"),
    ("seacocks", ""),
    ("steering", ""),
    ("standing-rigging", ""),
    ("furler", ""),
    ("mainsail", ""),
    ("windlass", "foredeck"),
    ("winches", ""),
    ("anchor-chain", "foredeck"),
    ("nav-lights", ""),
    ("batteries", "house"),
    ("vhf", "chart table"),
    ("outboard", "pushpit"),
)
HEADS = {"Sorrel 36": ("",), "Sorrel 43": ("forward", "aft"), "Twyne 42": ("port", "starboard")}


@dataclass(frozen=True, slots=True)
class Part:
    """One thing fitted: its code, kind, place, and meter where its hours count."""

    code: str
    boat: str
    kind: str
    position: str = ""
    meter: str = ""


def parts_of(boat: str, design: str, meters: tuple[str, ...]) -> Iterator[Part]:
    """What a boat carries; two engines have two of everything on them."""
    for meter in meters:
        if meter == "generator":
            yield _part(boat, "generator-oil", meter=meter)
        else:
            yield from _engine(boat, design, meter, twin=len(meters) > 1 and meter != "engine")
    for kind, position in EVERYWHERE:
        several = sum(k == kind for k, _ in EVERYWHERE) > 1
        yield _part(boat, kind, position, named=several)
    for position in HEADS[design]:
        yield _part(boat, "heads", position, named=bool(position))


def _engine(boat: str, design: str, meter: str, *, twin: bool) -> Iterator[Part]:
    drive = ("gearbox-oil",) if design == "Sorrel 36" else ("saildrive-oil", "saildrive-seal")
    for kind in (*ENGINE, *drive):
        yield _part(boat, kind, meter if twin else "", meter=meter, named=twin)


def _part(boat: str, kind: str, position: str = "", *, meter: str = "", named: bool = False) -> Part:
    code = f"{boat}-{kind}" + (f"-{position.replace(' ', '-')}" if named else "")
    return Part(code, boat, kind, position, meter)

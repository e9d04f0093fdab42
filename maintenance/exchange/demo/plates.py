"""What stands on the plates of the demo's engines: invented makers, a model for each design, a number."""

from maintenance.exchange.demo.chance import chance
from maintenance.exchange.demo.fitout import Part
from maintenance.exchange.demo.log import Log

ENGINES = {
    "Sorrel 36": ("Halmar", "H3-29"),
    "Sorrel 43": ("Halmar", "H4-54"),
    "Twyne 42": ("Tolver", "T3-40"),
}
OLDER, NEWER = (1_200, 28_900), (30_400, 41_900)  # from 030000 on the H4-54 has another raw water pump
Plate = tuple[str, str, str]


def plates_of(log: Log, design: str) -> dict[str, Plate]:
    """The plate of each engine of a boat, by the meter it is counted on; parts on it are known by it."""
    numbers = NEWER if log.new_engine_on else OLDER
    drawn = {meter: chance("plate", log.boat, meter).randint(*numbers) for meter in log.dials}
    return {meter: (*ENGINES[design], f"{n:06d}") for meter, n in drawn.items() if meter != "generator"}


def plate(part: Part, plates: dict[tuple[str, str], Plate]) -> Plate:
    return plates.get((part.boat, part.meter), ("", "", ""))

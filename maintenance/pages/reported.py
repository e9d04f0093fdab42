"""How a report is said: what leads, its words, and where, how many photos, what to beware of."""

from collections.abc import Sequence
from typing import Any

from maintenance.defects.models import Defect
from maintenance.pages import wording
from maintenance.turnaround.questions import QUESTIONS

WORKS = {
    Defect.Works.NO: "does not work",
    Defect.Works.SOMETIMES: "works at times",
    Defect.Works.YES: "works",
}


def state_now(defect: Defect) -> list[str]:
    """Danger first, then whether it works; nothing that was not said."""
    danger = "danger now" if defect.risk_now else ""
    works = WORKS[Defect.Works(defect.works)] if defect.works else ""
    return [word for word in (danger, works) if word]


def where(defect: Defect, position: str = "") -> str:
    """The place or the thing it was said to be at, and where that is; blank where neither was named."""
    if defect.place is not None:
        return str(defect.place)
    thing = defect.component.kind.name if defect.component else ""
    return f"{thing}, {position}" if thing and position else thing


def photos(count: int) -> str:
    return wording.many(count, "photo") if count else ""


def worst_first(defects: Sequence[Defect]) -> list[Defect]:
    """Danger now, then a yes to one of the return's questions, what was written, what was lost."""
    order = (Defect.Asked.QUESTION, Defect.Asked.OWN_WORDS, Defect.Asked.LOST)
    return sorted(defects, key=lambda d: (not d.risk_now, order.index(Defect.Asked(d.asked))))


def told(defect: Defect) -> dict[str, Any]:
    """One reported thing, with the caution that goes with a question's yes."""
    question = next((q for q in QUESTIONS if q.opens == defect.words), None)
    asked = question is not None and defect.asked == Defect.Asked.QUESTION
    lost = defect.asked == Defect.Asked.LOST
    return {
        "pk": defect.pk,
        "found_at": defect.found_at,
        "words": f"lost or broken: {defect.words}" if lost else defect.words,
        "caution": question.caution if asked and question else "",
        "now": ", ".join(state_now(defect)),
        "danger": bool(defect.risk_now),
        "beside": _beside(defect),
    }


def _beside(defect: Defect) -> str:
    """Where it is and how many photos there are, as `open_defects` has read them."""
    place = where(defect, getattr(defect, "position", None) or "")
    return "; ".join(part for part in (place, photos(getattr(defect, "photos", 0))) if part)

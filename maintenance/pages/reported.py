"""How a report is said: what leads, its words, and where, how many photos, what to beware of."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.utils.translation import gettext, gettext_lazy

from maintenance.defects.facts import unlooked
from maintenance.defects.models import Defect
from maintenance.pages import defect_words, wording
from maintenance.turnaround.questions import QUESTIONS

WORKS = {
    Defect.Works.NO: gettext_lazy("does not work"),
    Defect.Works.SOMETIMES: gettext_lazy("works at times"),
    Defect.Works.YES: gettext_lazy("works"),
}


def state_now(defect: Defect) -> list[str]:
    """Danger first, then whether it works; nothing that was not said."""
    danger = gettext("danger now") if defect.risk_now else ""
    works = str(WORKS[Defect.Works(defect.works)]) if defect.works else ""
    return [word for word in (danger, works) if word]


def where(defect: Defect, position: str = "") -> str:
    """The place, the thing or the part of the hull it was said to be at; blank where none was named."""
    if defect.place is not None:
        return str(defect.place)
    thing = defect.component.kind.name if defect.component else ""
    if not thing and defect.hull:
        return f"hull, {defect.hull}"
    return f"{thing}, {position}" if thing and position else thing


def photos(count: int) -> str:
    return wording.many(count, "photo") if count else ""


def worst_first(defects: Sequence[Any]) -> list[Any]:
    """An alarm nobody looked at first, then by grade; within one, danger now, then what does not work
    and nobody has graded, then a yes to one of the return's questions, what was written, what was lost."""
    return sorted(defects, key=how_bad)


def how_bad(d: Any) -> tuple[bool, int, bool, bool, int]:
    """What the worst is sorted by: the smaller, the worse."""
    order = (Defect.Asked.QUESTION, Defect.Asked.OWN_WORDS, Defect.Asked.LOST)
    asked = order.index(Defect.Asked(d.asked))
    broken = not d.grade and d.works == Defect.Works.NO
    return not unlooked(d), defect_words.rank(d.grade), not d.risk_now, not broken, asked


def told(defect: Any, on: date) -> dict[str, Any]:
    """One reported thing as `open_now` has it: its grade, how it waits, whether it comes up again, with
    the caution that goes with a question's yes."""
    question = next((q for q in QUESTIONS if q.opens == defect.words), None)
    asked = question is not None and defect.asked == Defect.Asked.QUESTION
    lost = defect.asked == Defect.Asked.LOST
    return {
        "pk": defect.pk,
        "found_at": defect.found_at,
        "words": f"lost or broken: {defect.words}" if lost else defect.words,
        "caution": question.caution if asked and question else "",
        "now": ", ".join(state_now(defect)),
        "danger": bool(defect.risk_now) or unlooked(defect),
        "beside": _beside(defect),
        "stands": stands(defect, on),
        "unsafe": defect.grade == "unsafe",
        "again": wording.sentence(defect_words.comes_again(defect.again, defect.found_on)),
    }


def stands(defect: Any, on: date) -> str:
    """The alarm nobody looked at, the grade, how it waits: in words, the worst first."""
    alarm = f"alarm{f' “{defect.alarm}”' if defect.alarm else ''}, nobody has looked"
    parts = [alarm if unlooked(defect) else "", defect.grade or defect_words.NOT_GRADED]
    parts.append(defect_words.until(defect.waits, on) if defect.waits else "")
    return wording.sentence("; ".join(part for part in parts if part))


def _beside(defect: Defect) -> str:
    """Where it is and how many photos there are, as `open_defects` has read them."""
    place = where(defect, getattr(defect, "position", None) or "")
    return "; ".join(part for part in (place, photos(getattr(defect, "photos", 0))) if part)

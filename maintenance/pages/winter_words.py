"""How a boat's winter is said: her state, her first charter, what is open, what to beware of. Pure."""

from datetime import date

from maintenance.pages import wording
from maintenance.planning.winter import FITTING_OUT, IN_USE, LAY_UP, Winter

CAUTIONS = (
    "Nobody works under a boat that hangs in the lift. Stands, chocks and slings are the yard's: "
    "leave them as they are, and keep off the deck while she is moved.",
    "Nobody goes aloft alone or on one halyard; with slack rigging, not at all: a rigger decides.",
    "An engine run ashore needs cooling water and open air: exhaust fumes kill in a shed or under a cover.",
)
LONGEST_AGO = date(1901, 1, 1)  # terms that hold since ever have no day worth saying


def state(w: Winter) -> str:
    """Laid up since Sat 1 Nov; in use, to be laid up from Sat 1 Nov."""
    since = w.stands.since
    said = f" since {wording.day(since, w.on)}" if since is not None and since > LONGEST_AGO else ""
    if w.stands.state == LAY_UP:
        return f"laid up{said}"
    if w.stands.state == FITTING_OUT:
        return f"fitting-out{said}"
    if w.stands.layup_on is not None:
        return f"in use, to be laid up from {wording.day(w.stands.layup_on, w.on)}"
    return "in use"


def first(w: Winter) -> str:
    """The first charter after the winter, or that none is booked."""
    if w.first is None:
        return "none booked"
    return f"{w.first.code}, {wording.day(w.first.starts_on, w.on)}"


def lede(w: Winter, ready: bool) -> str:
    """How she stands, and what comes of it for her first charter."""
    parts = [wording.sentence(f"{state(w)}.")]
    parts.append(_of_first(w, ready))
    parts.append(wording.sentence(f"{wording.many(w.open, 'thing')} open on her list."))
    return " ".join(part for part in parts if part)


def _of_first(w: Winter, ready: bool) -> str:
    if w.first is None:
        return "No charter is booked after it." if w.stands.state != IN_USE else ""
    goes = f"Charter {w.first.code} goes out on {wording.day(w.first.starts_on, w.on)}"
    if w.stands.state != IN_USE or not ready:
        return f"{goes}: fitting-out is to be signed before that."
    if w.stands.layup_on is not None:
        return f"{goes}, in her lay-up: give it another boat, or sign her fitting-out before that."
    return ""


def before_lay_up(w: Winter) -> str:
    """What is booked in the lay-up, said before she is laid up; blank where nothing is."""
    if w.first is None:
        return ""
    return (
        f"Charter {w.first.code} is booked for her, out {wording.day(w.first.starts_on, w.on)}: laid up "
        "before that, she is held for it until her fitting-out is signed."
    )


def done(what: str, name: str, on: date, today: date) -> str:
    """What a button did, said on the page after it."""
    when = "" if on == today else f" from {wording.day(on, today)}"
    return {
        "lay-up": f"{name} is laid up{when}." if on <= today else f"{name} is to be laid up{when}.",
        "begin": f"{name}: fitting-out began{when}.",
        "sign": f"{name}: fitting-out is signed. She is in use.",
    }[what]

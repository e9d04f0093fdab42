"""What is known of a boat on a day, as far as holding her goes. Pure."""

from dataclasses import dataclass
from datetime import date, datetime

from maintenance.defects.rules import Look, Waits
from maintenance.safety.short import Lacking

IN_USE, LAY_UP, FITTING_OUT = "in use", "lay-up", "fitting-out"


@dataclass(frozen=True, slots=True)
class Trip:
    """The charter asked about: its key, and the days she leaves and is back."""

    key: int
    starts_on: date
    ends_on: date
    code: str = ""


@dataclass(frozen=True, slots=True)
class OpenDefect:
    """One open defect: `case` its key, `step` that of its grading; `unlooked` where an alarm waits."""

    case: int
    words: str
    grade: str = ""
    step: int = 0
    function: str = ""
    unlooked: bool = False
    raised: int = 0  # the step that last said it is happening, 0 for the report itself
    waits: Waits | None = None
    limit: str = ""
    inoperative: str = ""
    found_on: date | None = None
    row: int = 0
    works: str = ""  # as the reporter saw it: no, sometimes, yes


@dataclass(frozen=True, slots=True)
class Touched:
    key: str
    day: date
    touched: str
    force: str
    looks: tuple[Look, ...] = ()
    found: bool = False  # not a touch: a look at her hull that found her not sound
    seen: str = ""  # what that look saw
    looked_at: tuple[datetime, ...] = ()  # when each look was recorded


@dataclass(frozen=True, slots=True)
class Critical:
    """A critical task: when its limit is, whether past already, whether it was ever recorded."""

    component: int
    interval: int
    task: str
    thing: str
    limit_on: date | None
    overdue: bool
    recorded: bool


@dataclass(frozen=True, slots=True)
class Kept:
    """A hold by name."""

    key: int
    why: str
    by: str


@dataclass(frozen=True, slots=True)
class Opened:
    """What was taken apart since she last went out, its paper not here."""

    step: int
    what: str
    words: str
    row: int = 0


@dataclass(frozen=True, slots=True)
class Arisen:
    """That something that holds her arose at an instant, settled since or not; what waits held her
    only where it does not last through the charter asked about."""

    key: str
    at: datetime
    waits: Waits | None = None


@dataclass(frozen=True, slots=True)
class Ship:
    """What is known of one boat on a day, as far as holding her goes."""

    boat: int
    name: str
    on: date
    state: str = IN_USE
    ready: bool = True  # fitting-out signed since she was last laid up, or never laid up
    layup_on: date | None = None  # the day she is laid up from, where that is booked
    defects: tuple[OpenDefect, ...] = ()
    touches: tuple[Touched, ...] = ()
    critical: tuple[Critical, ...] = ()
    short: tuple[Lacking, ...] = ()
    by_no_list: bool = False  # the base has lists of gear, and she goes by none
    kept: tuple[Kept, ...] = ()
    opened: tuple[Opened, ...] = ()
    settled: frozenset[str] = frozenset()  # codes of what was settled since she last went out
    arisen: tuple[Arisen, ...] = ()

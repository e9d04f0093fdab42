"""The twelve boats of the demo base, each with a character: what is booked, due and wrong aboard."""

from collections.abc import Mapping
from dataclasses import dataclass, field

FIRST_WEEK = -106  # the first reading is two years old on any day of the week
RIG_AND_DECK = frozenset(
    {"standing-rigging", "furler", "mainsail", "steering", "windlass", "winches", "anchor-chain"}
)


@dataclass(frozen=True, slots=True)
class Role:
    """One boat. Weeks are counted from the coming Saturday's (0); -1 is the one before it.

    `idle` and `booked` settle weeks that chance would else. `since_round` and `since_checks` are
    the charters since the engine's service and its looks, by meter. `due_in` is the day a task
    falls due, in days from the coming Saturday; `weeks_ago` when it was last done; `months_good`
    how long a printed date still runs, None where none is printed.
    """

    boat: str
    berth: str
    dials: Mapping[str, str]
    first_week: int = FIRST_WEEK
    idle: frozenset[int] = frozenset()
    booked: frozenset[int] = frozenset({-2, -1, 0})
    since_round: Mapping[str, int] = field(default_factory=dict)
    since_checks: Mapping[str, int] = field(default_factory=dict)
    due_in: Mapping[str, int] = field(default_factory=dict)
    weeks_ago: Mapping[str, int] = field(default_factory=dict)
    months_good: Mapping[str, int | None] = field(default_factory=dict)
    never: frozenset[str] = frozenset()
    new_engine: bool = False
    unread: bool = False


def weeks(*numbers: int) -> frozenset[int]:
    return frozenset(numbers)


CAST = (
    Role(
        "limpet",
        "A1",
        {"engine": "3412.6"},
        idle=weeks(-1),
        booked=weeks(-2, 0),
        due_in={"batteries-test": 4},
        months_good={"flares-replace": -2},
    ),
    # Back today from two weeks, with nothing booked for two more; her service is past its hours.
    Role(
        "cowrie",
        "A2",
        {"engine": "3655.1"},
        idle=weeks(-2, -1, 0, 1),
        booked=weeks(-3, 2),
        since_round={"engine": 10},
        unread=True,
    ),
    # Leaves tomorrow, on whatever day that is.
    Role(
        "whelk",
        "A3",
        {"engine": "2988.0"},
        idle=weeks(-1, 0),
        booked=weeks(-2, 1),
        due_in={"winches-service": -20},
        weeks_ago={"extinguisher-service": 54},
        months_good={"gas-hose-replace": None},
    ),
    # Her crew has her a day longer: back on Sunday at 14:00, out again at 17:00.
    Role(
        "periwinkle",
        "A4",
        {"engine": "2760.3"},
        idle=weeks(-1, 0),
        booked=weeks(-2, 1),
        since_checks={"engine": 9},
    ),
    # Idle for weeks: one charter called off, the next a month away.
    Role(
        "scallop",
        "A5",
        {"engine": "3890.7"},
        idle=weeks(-5, -4, -3, -2, -1, 0, 1, 2, 3),
        booked=weeks(-6, 4),
        due_in={"batteries-test": -30, "anodes-replace": -45},
    ),
    Role("bowline", "B1", {"engine": "3204.9"}, since_round={"engine": 9}),
    # A new engine and its new meter two charters ago: the running-in service comes up.
    Role(
        "sheepshank",
        "B2",
        {"engine": "4988.7"},
        booked=weeks(-4, -3, -2, -1, 0),
        never=frozenset({"engine-oil", "saildrive-oil"}),
        new_engine=True,
    ),
    # The raft's certificate ends a day after she leaves.
    Role(
        "carrick",
        "B3",
        {"engine": "2871.2"},
        due_in={"seacocks-work": 4},
        weeks_ago={"raft-service": 52},
    ),
    # The last return's dial was mistyped; the generator's meter was never read.
    Role(
        "splice",
        "B4",
        {"engine": "3126.4"},
        idle=weeks(-1),
        booked=weeks(-2, 0),
        due_in={"nav-lights-try": 5},
        unread=True,
    ),
    # Came to the base eight months ago, with nothing written of her rig and deck.
    Role(
        "marline",
        "B5",
        {"engine": "1804.5"},
        first_week=-35,
        idle=weeks(0),
        booked=weeks(-2, -1, 1),
        never=RIG_AND_DECK,
    ),
    Role(
        "levanter",
        "C1",
        {"port": "3344.8", "starboard": "3190.2"},
        since_round={"port": 9, "starboard": 4},
        since_checks={"port": 3},
    ),
    # The raft is at the service station, with a lent one aboard.
    Role(
        "zephyr",
        "C2",
        {"port": "2912.0", "starboard": "2870.9"},
        due_in={"winches-service": 4},
        weeks_ago={"raft-service": 52},
    ),
)
BY_BOAT = {role.boat: role for role in CAST}

"""Whether a boat may sail, whatever holds her: a fact that is settled never adds a reason."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from maintenance.defects.rules import FORCES, FUNCTIONS, GRADES, METHODS, TOUCHED, Look, Waits
from maintenance.release.known import (
    FITTING_OUT,
    IN_USE,
    Arisen,
    Critical,
    Kept,
    OpenDefect,
    Opened,
    Ship,
    Trip,
)
from maintenance.release.known import Touched as Touch
from maintenance.release.rule_list import BY_CODE, CODES, FIT, HELD, WITH_LIMITS, Rule
from maintenance.release.rules import may_sail
from maintenance.release.standing import Said, covered, standing
from maintenance.safety.short import Lacking

TODAY = date(2026, 5, 28)
NOW = datetime(2026, 5, 28, 13, tzinfo=UTC)
DAYS = st.integers(-5, 20).map(lambda n: TODAY + timedelta(days=n))
NUMBERS = st.integers(1, 9)
FLAGS = st.booleans()
WAITS = st.builds(Waits, until_on=st.none() | DAYS, max_charters=st.none() | st.integers(0, 2), key=NUMBERS)
DEFECTS = st.builds(
    OpenDefect,
    case=NUMBERS,
    words=st.just("The pump is slow"),
    grade=st.sampled_from(["", *GRADES]),
    step=NUMBERS,
    function=st.sampled_from(["", *FUNCTIONS]),
    unlooked=FLAGS,
    waits=st.none() | WAITS,
    limit=st.sampled_from(["", "By day only"]),
)
LOOKS = st.builds(Look, day=DAYS, method=st.sampled_from(METHODS), sound=FLAGS)
TOUCHES = st.builds(
    Touch,
    key=NUMBERS.map(str),
    day=st.just(TODAY),
    touched=st.sampled_from(TOUCHED),
    force=st.sampled_from(FORCES),
    looks=st.lists(LOOKS, max_size=2).map(tuple),
)
CRITICAL = st.builds(
    Critical,
    component=NUMBERS,
    interval=NUMBERS,
    task=st.just("Look"),
    thing=st.just("Steering"),
    limit_on=st.none() | DAYS,
    overdue=FLAGS,
    recorded=FLAGS,
)
SHORT = st.builds(
    Lacking,
    requirement=NUMBERS,
    list=st.just("coastal"),
    thing=st.just("Lifejackets"),
    wanted=st.integers(4, 8),
    there=st.integers(0, 3),
    adopted=FLAGS,
)
KEPT = st.builds(Kept, key=NUMBERS, why=st.just("Survey"), by=st.just("Ilda"))
OPENED = st.builds(Opened, step=NUMBERS, what=st.just("structure"), words=st.just("Keel bolts"))


def few(of, key):
    return st.lists(of, max_size=3, unique_by=key).map(tuple)


SHIPS = st.builds(
    Ship,
    boat=st.just(1),
    name=st.just("Whelk"),
    on=st.just(TODAY),
    state=st.sampled_from([IN_USE, FITTING_OUT]),
    ready=FLAGS,
    defects=few(DEFECTS, lambda d: d.case),
    touches=few(TOUCHES, lambda t: t.key),
    critical=few(CRITICAL, lambda c: (c.component, c.interval)),
    short=few(SHORT, lambda s: s.requirement),
    kept=few(KEPT, lambda k: k.key),
    opened=few(OPENED, lambda o: o.step),
)
TRIPS = st.none() | st.just(Trip(1, TODAY + timedelta(days=2), TODAY + timedelta(days=9)))
RULES = st.lists(FLAGS, min_size=len(CODES), max_size=len(CODES)).map(
    lambda on: {c: Rule(c, BY_CODE[c].words, on=o) for c, o in zip(CODES, on, strict=True)}
)


def without(ship, field, n):
    rows = getattr(ship, field)
    return replace(ship, **{field: rows[:n] + rows[n + 1 :]})


def changed(ship, field, n, **more):
    rows = getattr(ship, field)
    return replace(ship, **{field: (*rows[:n], replace(rows[n], **more), *rows[n + 1 :])})


def settled_one_by_one(ship):
    """The ship after each one thing that somebody can settle."""
    for n, defect in enumerate(ship.defects):
        yield without(ship, "defects", n)
        yield changed(ship, "defects", n, unlooked=False)
        if defect.waits is not None:
            later = TODAY + timedelta(days=400)
            yield changed(ship, "defects", n, waits=replace(defect.waits, until_on=later, max_charters=None))
    for n, touch in enumerate(ship.touches):
        ashore = Look(TODAY + timedelta(days=30), "ashore", sound=True)
        yield changed(ship, "touches", n, looks=(*touch.looks, ashore))
    for n in range(len(ship.critical)):
        yield changed(ship, "critical", n, overdue=False, limit_on=TODAY + timedelta(days=400))
    for n, short in enumerate(ship.short):
        yield without(ship, "short", n)
        if short.there + 1 < short.wanted:
            yield changed(ship, "short", n, there=short.there + 1)
    for field in ("kept", "opened"):
        for n in range(len(getattr(ship, field))):
            yield without(ship, field, n)
    yield replace(ship, state=IN_USE, ready=True)


@settings(max_examples=150, deadline=None)
@given(ship=SHIPS, trip=TRIPS, rules=RULES)
def test_a_fact_that_is_settled_never_adds_a_reason(ship, trip, rules):
    before = [r.key for r in may_sail(ship, trip, rules)]
    for after in settled_one_by_one(ship):
        assert [r.key for r in may_sail(after, trip, rules) if not covered(r.key, before)] == []


@settings(max_examples=100, deadline=None)
@given(ship=SHIPS, trip=TRIPS, rules=RULES)
def test_a_rule_switched_off_holds_nothing_but_for_the_alarm(ship, trip, rules):
    found = {r.code for r in may_sail(ship, trip, rules)}
    assert found <= {code for code in CODES if rules[code].on} | {"alarm"}
    assert any(d.unlooked for d in ship.defects) == ("alarm" in found)


@settings(max_examples=150, deadline=None)
@given(ship=SHIPS, trip=TRIPS, verdict=st.sampled_from([FIT, WITH_LIMITS, HELD]), data=st.data())
def test_a_release_stands_only_where_all_that_holds_her_was_let_be_and_nothing_arose_since(
    ship, trip, verdict, data
):
    keys = [r.key for r in may_sail(ship, trip)]
    let_be = frozenset(data.draw(st.lists(st.sampled_from(keys), unique=True)) if keys else ())
    arisen = data.draw(st.sampled_from([(), (Arisen("unsafe:1:99", NOW + timedelta(minutes=1)),)]))
    how = standing(replace(ship, arisen=arisen), trip, Said(verdict, NOW, let_be, "why", "Ilda"))
    if verdict == HELD:
        assert how.verdict == HELD
        assert how.reasons[0].said
    elif set(keys) <= let_be and not arisen:
        assert how.verdict in (FIT, WITH_LIMITS)
        assert {r.key for r in how.let_be} == set(keys)
    else:
        assert how.fell
        assert how.verdict == (HELD if keys else "")


def test_two_left_of_three_let_be_are_let_be_and_a_new_one_is_not():
    assert covered("two together:4+9", ["two together:4+7+9"])
    assert not covered("two together:4+11", ["two together:4+7+9"])
    assert covered("gear:3:6", ["gear:3:5+6"])
    assert not covered("gear:3:4+5+6", ["gear:3:5+6"])
    assert not covered("gear:4:6", ["gear:3:5+6"])
    assert not covered("alarm:12:0", ["alarm:2:0"])

"""What must hold of any line: a later service never brings it forward, what adds nothing moves nothing."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from random import Random

import pytest
from hypothesis import Phase, assume, find, given, settings
from hypothesis import strategies as st

from fleet.meters.rules import RATE_DAYS, Dial, Timeline
from fleet.spans import Span
from maintenance.servicing.forecast import Done, Facts, judge
from maintenance.servicing.hours import PartHours, Stay
from tests.pure.by_hand import METER, line, rule

FITTED = date(2024, 1, 31)
LAST = 900  # days after the fitting on which the last fact may lie
HOURS = st.sampled_from(["7.5", "25", "50", "100", "250"])
LIMBS = {
    "every_hours": HOURS,
    "every_months": st.sampled_from([1, 3, 12]),
    "every_charters": st.integers(1, 4),
    "season": st.sampled_from([("10-15", "03-31"), ("05-01", "09-30")]),
    "on_expiry": st.just(True),
}
moments = st.integers(0, LAST).map(lambda n: FITTED + timedelta(days=n))


@st.composite
def rules(draw):
    """Any limbs; a first point comes no later than the usual one, for else the interval gets shorter."""
    chosen = draw(st.lists(st.sampled_from(list(LIMBS)), min_size=1, unique=True))
    limbs = {name: draw(LIMBS[name]) for name in chosen}
    if "every_hours" in limbs and draw(st.booleans()):
        limbs["first_hours"] = min(draw(HOURS), limbs["every_hours"], key=Decimal)
    limbs |= {"late_hours": draw(st.integers(0, 30)), "late_days": draw(st.integers(0, 40))}
    return rule(**limbs, from_due=draw(st.booleans()))


@st.composite
def readings(draw):
    """A meter that starts with the part and never runs backwards."""
    days = draw(st.lists(moments, max_size=8).map(sorted))
    hours = draw(st.lists(st.integers(0, 300), min_size=len(days), max_size=len(days)).map(sorted))
    tenths = [Decimal(10 * h + n) / 10 for n, h in enumerate(hours)]
    return [Dial(FITTED, Decimal(0)), *(Dial(d, h) for d, h in zip(days, tenths, strict=True))]


@st.composite
def charters(draw):
    spans, at = [], FITTED + timedelta(days=draw(st.integers(0, LAST)))
    for gap, length in draw(st.lists(st.tuples(st.integers(0, 60), st.integers(1, 14)), max_size=12)):
        spans.append(Span(at + timedelta(days=gap), at + timedelta(days=gap + length)))
        at = spans[-1].ends_on
    return spans


@st.composite
def lines(draw):
    return Facts(
        rule=draw(rules()),
        part=part_on(draw(readings())),
        done=[Done(when) for when in sorted(draw(st.sets(moments, max_size=4)))],
        expires_on=draw(st.one_of(st.none(), moments)),
        spans=draw(charters()),
        rate=draw(st.sampled_from([None, Fraction(0), Fraction(7, 3), Fraction(6)])),
    )


def part_on(dials):
    return PartHours([Stay(1, METER, FITTED)], {METER: Timeline.of(dials)})


def or_never(moment):
    return moment or date.max


@settings(deadline=None, max_examples=200)
@given(lines(), moments)
def test_a_later_service_never_makes_a_thing_due_earlier(known, when):
    assume(when >= known.base_day)
    before, after = judge(known), judge(replace(known, done=[*known.done, Done(when)]))
    assert or_never(after.due_on) >= or_never(before.due_on)
    assert or_never(after.limit_on) >= or_never(before.limit_on)
    assert after.recorded


def test_unless_the_usual_interval_is_shorter_than_the_first():
    """A first service at 120 h, then every 30 h: done at 10 h, the next is at 40 h."""
    limbs = rule(first_hours=120, every_hours=30)
    assert line(limbs, "2024-03-15 at 0").due_hours == 120
    assert line(limbs, "2024-03-15 at 0", "2024-04-01 at 10").due_hours == 40


def test_or_a_second_service_starts_the_grid_again_that_the_first_had_kept():
    """Every 100 h within 10 h: done at 95 it stays on the grid (200); done again at 96, far ahead of 200,
    it counts from there. So the rule is written; Rotax 912 05-20-00 gives both halves of it."""
    limbs = rule(every_hours=100, early_hours=10, from_due=True)
    assert line(limbs, "2024-03-15 at 0", "2024-05-01 at 95").due_hours == 200
    assert line(limbs, "2024-03-15 at 0", "2024-05-01 at 95", "2024-05-03 at 96").due_hours == 196


@settings(deadline=None, max_examples=200)
@given(readings(), charters(), lines(), st.data())
def test_a_reading_that_adds_nothing_moves_nothing(dials, spans, known, data):
    """The dial of an earlier reading seen again before the meter ran on. One that becomes the first of the
    year the rate looks at would change the rate, so it is left out."""
    assume(len(dials) > 1)
    at = data.draw(st.integers(0, len(dials) - 2))
    again = Dial(data.draw(st.dates(dials[at].day, dials[at + 1].day)), dials[at].hours)
    year_opens = dials[-1].day - timedelta(days=RATE_DAYS)
    assume(dials[at].day >= year_opens or again.day < year_opens)
    with_it = Timeline.of([*dials, again])
    assert Timeline.of(dials).use(spans) == with_it.use(spans)
    known = replace(known, part=part_on(dials))
    assert judge(replace(known, part=part_on([*dials, again]))) == judge(known)


@settings(deadline=None)
@given(lines(), st.randoms(use_true_random=False))
def test_the_order_in_which_facts_are_told_changes_nothing(known, random):
    dials, done, spans = list(known.part.timeline.dials), list(known.done), list(known.spans)
    for facts in (dials, done, spans):
        random.shuffle(facts)
    shuffled = replace(known, part=part_on(dials), done=done, spans=spans)
    assert judge(shuffled) == judge(known)


SORTS = {
    "expiry": lambda verdict: verdict.governs == "expiry",
    "season": lambda verdict: verdict.governs == "season",
    "calendar": lambda verdict: verdict.governs == "calendar",
    "charters": lambda verdict: verdict.governs == "charters",
    "hours reached": lambda verdict: verdict.basis == "reached",
    "hours expected": lambda verdict: verdict.basis == "expected",
    "no day": lambda verdict: verdict.due_on is None,
    "lacks a charter": lambda verdict: "charter" in verdict.missing,
    "lacks its printed date": lambda verdict: "expiry" in verdict.missing,
    "lacks a reading": lambda verdict: "reading" in verdict.missing,
}


@pytest.mark.parametrize("sort", SORTS)
def test_the_lines_drawn_above_are_of_every_sort(sort):
    """Raises NoSuchExample where none is drawn: the properties would then say nothing about it."""
    drawn = settings(phases=[Phase.generate], max_examples=2000, deadline=None, database=None)
    found = find(lines(), lambda known: SORTS[sort](judge(known)), settings=drawn, random=Random(1))
    assert SORTS[sort](judge(found))

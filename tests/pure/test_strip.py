"""A boat's weeks as one line: charters as blocks, due days as ticks."""

from datetime import date, timedelta

from maintenance.pages.strip import DAY, Block, draw, draw_season, season_of

ON = date(2026, 5, 28)


def after(days: int) -> date:
    return ON + timedelta(days=days)


def strip(charters=(), due=(), days=28):
    return draw("Sandpiper", ON, days, charters, due)


def test_a_charter_is_a_block_of_its_days():
    assert strip([(after(2), after(9))]).blocks == (Block(2 * DAY, 7 * DAY - 2),)


def test_a_charter_that_is_out_already_begins_at_the_edge_and_one_beyond_ends_there():
    blocks = strip([(after(-5), after(2)), (after(25), after(40))]).blocks
    assert blocks == (Block(0, 2 * DAY - 2), Block(25 * DAY, 3 * DAY - 2))


def test_a_charter_over_or_not_yet_in_sight_is_not_drawn():
    assert strip([(after(-9), ON), (after(28), after(35))]).blocks == ()


def test_a_due_day_is_a_tick_in_the_middle_of_its_day():
    tick = strip(due=[(after(3), "raft", True)]).ticks[0]
    assert (tick.x, tick.label, tick.first) == (35, "raft", True)


def test_several_due_on_a_day_are_one_tick_named_for_the_one_to_be_done_first():
    ticks = strip(due=[(after(3), "raft", False), (after(3), "oil", True)]).ticks
    assert [(t.label, t.first) for t in ticks] == [("oil", True)]


def test_what_is_to_be_done_first_is_named_before_what_is_not():
    ticks = strip(due=[(after(3), "raft", False), (after(5), "oil", True)]).ticks
    assert [t.label for t in ticks] == ["", "oil"]


def test_a_label_is_left_out_where_the_one_before_leaves_no_room_but_its_tick_stays():
    ticks = strip(due=[(after(3), "raft", False), (after(5), "oil", False), (after(9), "rig", False)]).ticks
    assert [t.label for t in ticks] == ["raft", "", "rig"]


def test_a_label_at_the_left_edge_begins_at_its_tick():
    ticks = strip(due=[(ON, "raft", False), (after(12), "oil", False)]).ticks
    assert [t.anchor for t in ticks] == ["start", "middle"]


def test_a_due_day_outside_the_weeks_shown_is_not_drawn():
    assert strip(due=[(after(-1), "raft", True), (after(28), "oil", True)]).ticks == ()


def test_the_dates_stand_every_other_week():
    assert strip(days=56).dates == ((0, "28 May"), (140, "11 Jun"), (280, "25 Jun"), (420, "9 Jul"))


def season(charters=(), due=(), width=1000):
    return draw_season("Sandpiper", ON, charters, due, width)


def test_a_season_is_whole_months_from_its_first_charter_to_its_last_with_today_in_it():
    april, june = (date(2026, 4, 11), date(2026, 4, 18)), (date(2026, 6, 6), date(2026, 6, 13))
    assert season_of(ON, [april, june]) == (date(2026, 4, 1), date(2026, 7, 1))
    assert season_of(ON, []) == (date(2026, 5, 1), date(2026, 6, 1))


def test_a_season_is_a_year_at_most():
    long = [(date(2024, 1, 1), date(2024, 1, 8)), (date(2028, 1, 1), date(2028, 1, 8))]
    first, ends = season_of(ON, long)
    assert (first, ends) == (date(2025, 6, 1), date(2026, 6, 1))
    assert season_of(date(2026, 1, 31), [(date(2026, 1, 30), date(2027, 5, 1))])[1] == date(2027, 1, 1)


def test_a_season_is_drawn_to_the_width_given_its_charters_as_blocks():
    drawn = season([(date(2026, 5, 1), date(2026, 5, 8))], width=310)
    assert drawn.blocks == (Block(0, 69),)
    assert drawn.today == 270
    assert drawn.months == ((0, "May"),)


def test_what_fell_due_in_the_past_stands_today_and_what_is_beyond_is_left_out():
    drawn = season(due=[(after(-9), False), (ON, True), (after(1), False), (after(90), True)], width=310)
    assert [(t.x, t.first) for t in drawn.ticks] == [(270, True), (280, False)]

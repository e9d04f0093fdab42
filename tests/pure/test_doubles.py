"""Which reports are likely of one thing, and which of two stays."""

from datetime import date

from maintenance.defects.doubles import Report, likely, which_stays

DAY = date(2026, 5, 28)
LEAK = Report(1, "The bilge pump does not stop", DAY, "component 7")


def test_the_same_thing_comes_first_then_shared_words_within_a_fortnight():
    others = [
        Report(2, "Pump runs all night", DAY),
        Report(3, "Noise below", date(2026, 3, 1), "component 7"),
        Report(4, "Pump again", date(2026, 5, 1)),
        Report(5, "Curtain torn", DAY, "component 9"),
    ]
    assert likely(LEAK, others) == [(3, "same place or thing"), (2, "same words: pump")]


def test_a_report_is_no_double_of_itself_and_small_words_say_nothing():
    assert likely(LEAK, [LEAK, Report(6, "the boat does not", DAY)]) == []


def test_words_of_any_script_are_compared():
    greek = Report(8, "Η αντλία σεντίνας", DAY)
    assert likely(Report(9, "αντλία!", DAY), [greek]) == [(8, "same words: αντλία")]


def test_what_would_be_hidden_stays():
    """What is joined is judged no more: an alarm, then the worse grade, a deferral, the older stays."""
    old, young = LEAK, Report(10, "x", date(2026, 5, 29))
    assert which_stays(young, old) == (old, young)
    for worse in (
        Report(11, "x", date(2026, 5, 30), alarmed=True),
        Report(11, "x", date(2026, 5, 30), grade="watch"),
        Report(11, "x", date(2026, 5, 30), deferred=True),
        Report(11, "x", date(2026, 5, 30), joined=True),
    ):
        assert which_stays(old, worse) == (worse, old)
    alarmed = Report(14, "x", DAY, alarmed=True)
    assert which_stays(Report(12, "x", DAY, grade="unsafe"), alarmed)[0] == alarmed
    unsafe, limits = (Report(12, "x", DAY, grade="unsafe"), Report(13, "x", DAY, grade="limits use"))
    assert which_stays(limits, unsafe)[0] == unsafe

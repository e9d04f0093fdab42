"""Which reports are likely of one thing, and which of two stays."""

from datetime import date

import pytest

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


def test_two_alarms_of_different_dangers_are_never_proposed_also_not_at_the_same_place():
    fire = Report(20, "Smell behind the panel", DAY, "place 3", alarmed=True, sort="fire")
    gas = Report(21, "Smell behind the panel", DAY, "place 3", alarmed=True, sort="gas")
    plain = Report(22, "Panel loose", DAY)
    assert likely(gas, [fire, plain]) == [(22, "same words: panel")]
    assert likely(fire, [gas]) == []


@pytest.mark.parametrize("below", ["Where: Saloon", "Used: bilge pump", "Boat on the phone: Tern"])
def test_what_the_program_put_below_is_not_compared(below):
    one, other = (
        Report(n, f"{words}\n\n{below}", DAY) for n, words in ((30, "Lamp out"), (31, "Fridge warm"))
    )
    assert likely(one, [other]) == []


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Kühlschrank seit gestern nicht kalt", "Licht geht nicht seit gestern"),
        ("Pompe avec un bruit, pas dans le salon", "Lampe cassée dans la cabine avec un fil"),
        ("Nevera no enfría desde ayer para nada", "Lámpara rota desde ayer, para la noche"),
        ("Luce della cabina non va", "Frigo della cucina non freddo"),
        ("Το ψυγείο δεν παγώνει από χθες στο σκάφος", "Η λάμπα στο σκάφος δεν ανάβει από χθες"),
        ("Hladnjak nije hladan jest topao", "Svjetlo nije u redu, jest slabo"),
        ("Lodówka jest ciepła od wczoraj", "Lampa jest zepsuta wczoraj"),
        ("Fridge does not work since yesterday", "Lamp broken since the storm, does flicker"),
    ],
)
def test_small_words_of_each_language_say_nothing(one, other):
    assert likely(Report(40, one, DAY), [Report(41, other, DAY)]) == []


def test_more_of_the_rarer_words_come_first_after_the_same_place():
    of = Report(50, "Watermaker membrane hisses, pump hot", DAY, "component 7")
    others = [
        Report(51, "Pump loud", DAY),
        Report(52, "Pump drips", DAY),
        Report(53, "Watermaker membrane split", date(2026, 5, 20)),
        Report(54, "Curtain", date(2026, 1, 1), "component 7"),
    ]
    assert [key for key, _ in likely(of, others)] == [54, 53, 51, 52]
    assert likely(of, others)[1][1] == "same words: membrane, watermaker"


def test_those_kept_apart_are_not_offered_either_way():
    apart = Report(60, "Pump hums", DAY, kept_apart=frozenset({LEAK.key}))
    assert likely(LEAK, [apart]) == likely(apart, [LEAK]) == []


def test_of_two_alarms_the_one_that_says_of_what_stays():
    danger, gas = Report(70, "x", DAY, alarmed=True), Report(71, "x", DAY, alarmed=True, sort="gas")
    assert which_stays(danger, gas) == (gas, danger)


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

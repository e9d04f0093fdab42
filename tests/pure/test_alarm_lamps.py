"""Lamps that do not burn, diesel that is burnt, empty bottles: said with a word of fire, and none.

The sentences are ours, as a crew would write them (common practice, no source).
"""

import pytest

from maintenance.defects.alarm import about, raised_by


@pytest.mark.parametrize(
    "words",
    [
        "Anchor light does not burn",
        "The nav lights don't burn",
        "The engine burns a lot of diesel",
        "Das Ankerlicht brennt nicht",
        "Die Gasflasche ist leer.",
        "Le feu de mouillage ne brûle pas",
        "La luce di via non brucia",
        "Fanale di fonda bruciato",
        "La luz de fondeo no arde",
        "Το φως αγκύρας δεν καίει",
        "Sidreno svjetlo ne gori",
        "Światło kotwiczne się spaliło",
    ],
)
def test_a_lamp_that_does_not_burn_and_diesel_that_is_used_up_are_no_fire(words):
    assert raised_by(words) == ""


@pytest.mark.parametrize(
    "words",
    [
        "There is a burning oil smell",
        "The engine burns a lot of diesel and smokes",
        "The light does not burn, burning smell from the panel",
        "The anchor light panel burns",
        "Non brucia la luce, ma puzza di bruciato",
    ],
)
def test_a_fire_beside_a_lamp_that_does_not_burn_is_one(words):
    assert about(raised_by(words)) == "fire"

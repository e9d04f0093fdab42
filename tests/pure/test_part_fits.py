"""Whether a part fits a thing aboard, by kind, maker, model and serial number as they were written down."""

import pytest

from maintenance.spares.fits import Fit, Says, Thing, fits

IMPELLER, BELT = 1, 2
PLATE = Thing(IMPELLER, "Norrvik Diesel", "N4-38", "E-00412")


@pytest.mark.parametrize(
    ("says", "word"),
    [
        (Says(IMPELLER), Fit.YES),
        (Says(BELT), Fit.NO),
        (Says(maker="norrvik diesel"), Fit.YES),
        (Says(maker="Norrvik"), Fit.NO),
        (Says(IMPELLER, "Norrvik Diesel", "N4 38"), Fit.YES),  # a dash or a blank tells no two models apart
        (Says(IMPELLER, "Norrvik Diesel", "N4-28"), Fit.NO),
        (Says(serial_from="E-00412"), Fit.YES),  # both ends belong to it
        (Says(serial_to="E-00412"), Fit.YES),
        (Says(serial_from="E-00413"), Fit.NO),
        (Says(serial_to="E-00411"), Fit.NO),
        (Says(serial_from="E-00100", serial_to="E-00999"), Fit.YES),
        (Says(serial_from="E-9"), Fit.YES),  # 412 comes after 9: by number, not by letter
        (Says(serial_from="F-00100"), Fit.MAY),  # which letter came first nobody knows
        (Says(BELT, serial_from="F-1"), Fit.NO),  # one thing that is wrong is enough
    ],
)
def test_every_word_said_of_a_part_must_hold(says, word):
    assert fits([says], PLATE) is word


@pytest.mark.parametrize(
    "says",
    [Says(maker="Norrvik Diesel"), Says(model="N4-38"), Says(serial_from="E-1"), Says(serial_to="E-9")],
)
def test_what_nobody_wrote_down_of_a_thing_leaves_it_open(says):
    assert fits([says], Thing(IMPELLER)) is Fit.MAY


def test_one_line_that_holds_is_enough_and_the_best_word_counts():
    assert fits([Says(BELT), Says(IMPELLER)], PLATE) is Fit.YES
    assert fits([Says(BELT), Says(serial_from="F-1")], PLATE) is Fit.MAY


def test_of_a_part_nothing_is_said_of_there_is_no_word():
    assert fits([], PLATE) is None

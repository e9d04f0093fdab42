"""A serial number lies in a range exactly where its number does, however it is written down; where its
letters differ nobody knows which came first."""

from hypothesis import assume, given
from hypothesis import strategies as st

from maintenance.spares.fits import Fit, Says, Thing, fits

KIND = 7
NUMBER = st.integers(0, 10**7)
LETTERS = st.text("ABCDEFGHJKLMNPRSTUVWXYZ", max_size=3)
GAPS = st.sampled_from(["", "-", " ", "/", "."])
AROUND = st.sampled_from(["", " ", "  ", "#"])
ZEROS = st.integers(0, 4)


@st.composite
def way(draw, before=LETTERS):
    """One way of writing a number of a series: letters, zeros in front, blanks and dashes, capitals."""
    letters, gap = draw(before), draw(GAPS)

    def written(number: int) -> str:
        said = letters if draw(st.booleans()) else letters.lower()
        text = f"{said}{gap}{'0' * draw(ZEROS)}{number}"
        return f"{draw(AROUND)}{text}{draw(AROUND)}"

    return written


def said(first: str, last: str, serial: str) -> Fit | None:
    return fits([Says(KIND, serial_from=first, serial_to=last)], Thing(KIND, serial=serial))


@given(way(), NUMBER, NUMBER, NUMBER)
def test_it_is_in_the_range_where_its_number_is(written, first, last, number):
    inside = Fit.YES if first <= number <= last else Fit.NO
    assert said(written(first), written(last), written(number)) is inside


@given(way(), NUMBER, NUMBER)
def test_an_end_that_is_left_blank_is_open(written, end, number):
    assert said(written(end), "", written(number)) is (Fit.YES if number >= end else Fit.NO)
    assert said("", written(end), written(number)) is (Fit.YES if number <= end else Fit.NO)


@given(st.data(), LETTERS, LETTERS, NUMBER, NUMBER, NUMBER)
def test_of_other_letters_nobody_knows_which_came_first(data, one, other, first, last, number):
    assume(one != other)
    written, differently = data.draw(way(st.just(one))), data.draw(way(st.just(other)))
    assert said(written(first), "", differently(number)) is Fit.MAY
    assert said("", written(last), differently(number)) is Fit.MAY


@given(way(), st.tuples(NUMBER, NUMBER, NUMBER), st.integers(1, 30), st.integers(1, 30), st.integers(1, 30))
def test_numbers_in_two_parts_go_by_the_first_and_then_by_the_second(written, of, first, last, year):
    """A year and a number, say: 24-00131 is before 25-00002."""
    ends = [(first, of[0]), (last, of[1])]
    thing = (year, of[2])
    inside = Fit.YES if ends[0] <= thing <= ends[1] else Fit.NO
    texts = [f"{written(a)}-{b}" for a, b in (*ends, thing)]
    assert said(*texts) is inside


@given(way(), NUMBER, NUMBER)
def test_a_plate_nobody_read_may_fit_and_no_range_asks_for_none(written, first, last):
    assert said(written(first), written(last), "") is Fit.MAY
    assert said("", "", "") is Fit.YES


@given(way(), NUMBER, NUMBER, NUMBER)
def test_a_second_range_only_ever_makes_it_fit_better(written, first, last, number):
    thing = Thing(KIND, serial=written(number))
    one = Says(KIND, serial_from=written(first), serial_to=written(last))
    other = Says(KIND, serial_to=written(last))
    rank = list(Fit).index
    both = fits([one, other], thing)
    assert both is fits([other, one], thing)
    assert rank(both) == min(rank(fits([one], thing)), rank(fits([other], thing)))

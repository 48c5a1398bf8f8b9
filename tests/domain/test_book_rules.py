"""Rules of a book: the averages that keep its density, against the checker's own word on each of them."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from setsolver.domain.book_rules import average_ends, broken_sequence
from tests.solver.book.events import event, every_spread

ONE = every_spread(event(0))[0]
BOUNDS = st.fractions(1, 12, max_denominator=30) | st.floats(1, 12) | st.decimals(1, 12, places=2)


def keeps(book, pictures, spreads):
    """What the checker says of so many pictures on so many spreads; of its spreads it reads these numbers alone."""
    part, rest = divmod(pictures, spreads)
    sizes = [part + (number < rest) for number in range(spreads)]
    parts = [replace(ONE, rows=ONE.rows[:1] * size, roles=(0,) * size) for size in sizes]
    return not any(rule.rule == "density" for rule in broken_sequence(book, parts))


@given(ends=st.tuples(BOUNDS, BOUNDS).map(sorted), least=st.integers(1, 7), more=st.integers(0, 5))
@example(ends=(Fraction(5, 3), Fraction(5, 3)), least=3, more=0)
@example(ends=(Fraction(7, 3), Fraction(12, 5)), least=1, more=6)
@example(ends=(1.0004, 1.9996), least=2, more=2)
@example(ends=(1.0 + 5e-10, 12.0 - 5e-10), least=2, more=2)
def test_an_average_is_between_the_ends_where_the_checker_accepts_it(ends, least, more):
    book = event(0, density=tuple(map(float, ends)), spreads=(least, least + more))
    low, high = average_ends(book)
    for spreads in range(least, least + more + 1):
        for pictures in range(spreads, 12 * spreads + 1, 1 if spreads < 4 else 3):
            assert (low <= Fraction(pictures, spreads) <= high) == keeps(book, pictures, spreads)


def test_where_no_average_serves_the_ends_leave_none():
    low, high = average_ends(event(0, density=(1.4999, 1.4999), spreads=(2, 6)))
    assert low > high


@pytest.mark.parametrize("spreads", [(1, 1), (200, 200), (1, 200)])
def test_the_ends_are_small_numbers_however_long_the_book(spreads):
    for end in average_ends(event(0, density=(1.1, 2.0 / 3 + 3), spreads=spreads)):
        assert end.denominator <= 200

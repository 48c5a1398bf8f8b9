"""Doing: people caught in what they do earn most, people who pose nothing, all else half."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.domain.measures import Showing
from setsolver.rules.doing import Doing, worth_of
from tests.rules.earned import earned, said_of_first

SURE = {name: Showing(**(dict.fromkeys(Showing._fields, 0.0) | {name: 1.0})) for name in Showing._fields}
ODDS = st.lists(st.floats(0.001, 1), min_size=5, max_size=5).map(
    lambda odds: Showing(*(one / sum(odds) for one in odds))
)


def paid(*shown):
    return earned(Doing(), "showing", shown)


def test_trivial_a_shoot_without_people_earns_half_everywhere():
    assert paid(SURE["nobody"], SURE["nobody"]) == [0.5, 0.5]


def test_feasible_each_kind_earns_its_worth():
    """By hand: half, and half of (doing - posing); performers and people about count as nobody does."""
    kinds = ("doing", "about", "performing", "posing", "nobody")
    assert paid(*(SURE[name] for name in kinds)) == [1, 0.5, 0.5, 0, 0.5]


def test_feasible_what_is_doubtful_lies_between():
    assert paid(Showing(0.4, 0.2, 0.1, 0.2, 0.1)) == [0.6]  # 0.5 + 0.5 * (0.4 - 0.2)


def test_infeasible_nothing_is_ruled_out_and_the_unknown_counts_as_the_mean():
    assert paid(SURE["doing"], None, SURE["nobody"]) == [1, 0.75, 0.5]
    assert paid(SURE["posing"], SURE["posing"]) == [0, 0]
    assert paid(None, None) == [0.5, 0.5]  # before any frame has been looked at


def said(shown):
    return said_of_first(Doing(), "showing", [shown])


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("doing", "people caught in what they do"),
        ("about", "people about"),
        ("performing", "somebody who performs or speaks"),
        ("posing", "people who pose for the camera"),
        ("nobody", "a picture that is not about people"),
    ],
)
def test_the_likeliest_is_said_from_even_odds_on(name, words):
    even = dict.fromkeys(Showing._fields, 0.5 / 4)
    assert said(Showing(**(even | {name: 0.5}))) == words


def test_what_is_doubtful_or_unknown_is_said_to_be():
    assert said(Showing(0.49, 0.0, 0.0, 0.02, 0.49)) == "not told for sure whether anybody poses"
    assert said(None) == "not looked at for what people do yet"


@given(ODDS)
def test_a_worth_lies_between_nothing_and_all(shown):
    assert -1e-12 <= worth_of(shown) <= 1 + 1e-12


@given(ODDS, st.sampled_from(Showing._fields), st.floats(0, 1))
def test_a_worth_is_linear_in_odds(shown, name, share):
    """Half-way to a sure kind the worth is half-way to that of the kind."""
    mixed = Showing(*((1 - share) * a + share * b for a, b in zip(shown, SURE[name], strict=True)))
    assert worth_of(mixed) == pytest.approx((1 - share) * worth_of(shown) + share * worth_of(SURE[name]))


@given(ODDS, st.sampled_from(["about", "performing", "posing", "nobody"]), st.floats(0, 1))
def test_a_worth_grows_with_doing_and_falls_with_posing_whatever_gives_way(shown, name, share):
    moved = share * getattr(shown, name)
    more = shown._replace(doing=shown.doing + moved, **{name: getattr(shown, name) - moved})
    assert worth_of(more) >= worth_of(shown) - 1e-12
    other = "doing" if name == "posing" else name
    moved = share * getattr(shown, other)
    posed = shown._replace(posing=shown.posing + moved, **{other: getattr(shown, other) - moved})
    assert worth_of(posed) <= worth_of(shown) + 1e-12

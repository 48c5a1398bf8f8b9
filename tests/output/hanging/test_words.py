"""Lengths as a tape shows them, and what every page warns of."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.output.hanging.words import CAUTIONS, drawable, inches


@pytest.mark.parametrize(
    ("cm", "told"),
    [(2.54, "1 in"), (144.78, "57 in"), (10, "3 15/16 in"), (1.27, "1/2 in"), (0, "0 in"), (100, "39 3/8 in")],
)
def test_inches_to_a_sixteenth(cm, told):
    assert inches(cm) == told


@given(st.floats(0, 1000))
def test_inches_are_never_further_off_than_half_a_sixteenth(cm):
    whole, _, rest = inches(cm).removesuffix(" in").rpartition(" ")
    value = float(whole or 0) + float(Fraction(rest))  # "57", "1/2" or "57 1/2"
    assert abs(value * 2.54 - cm) <= 2.54 / 32 + 1e-9


def test_cautions_name_what_can_hurt():
    said = " ".join(CAUTIONS)
    for word in (
        "rated",
        "type of wall",
        "beds",
        "closed hooks",
        "ladder",
        "Glass",
        "building codes",
        "licensed trade",
    ):
        assert word in said
    assert "safe" not in said


def test_what_a_typeface_lacks_becomes_visible():
    assert drawable("a\u9676", frozenset({97})) == "a\\u9676"

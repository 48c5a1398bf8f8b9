"""Numbers, names and proofs in words."""

import pytest

from setsolver.domain.outcome import Correction
from setsolver.output.view.words import (
    bound_in_words,
    correction_in_words,
    counted,
    day,
    moment,
    number,
    points,
    rule_name,
    signed,
)
from tests.output.builders import brief, found


@pytest.mark.parametrize(("value", "text"), [(1.25, "1.2"), (-3.04, "\u22123.0"), (-0.01, "0.0"), (0, "0.0")])
def test_numbers_have_a_true_minus_and_no_minus_zero(value, text):
    assert number(value) == text


@pytest.mark.parametrize(("value", "text"), [(1.25, "+1.2"), (-3, "\u22123.0"), (0.01, "0.0"), (-0.04, "0.0")])
def test_signed_numbers(value, text):
    assert signed(value) == text


def test_counts_and_points_agree_in_number():
    assert (counted(1, "frame"), counted(0, "frame"), points(1), points(-1)) == (
        "1 frame",
        "0 frames",
        "1.0 point",
        "\u22121.0 points",
    )


def test_rules_read_as_words():
    assert rule_name("near_duplicates") == "Near duplicates"


def test_days_and_moments():
    assert day("2026-11-25T10:30:00+01:00") == "25 November 2026"
    assert moment("2024-05-01T17:03:21.5") == "1 May 2024, 17:03"
    assert moment("2024-05-01") == "1 May 2024"
    assert moment(None) == "time unknown"
    assert (day("soon"), moment("\n")) == ("soon", "\\n")


def set_with(**changes):
    one = found(brief(), ("a.jpg", "b.jpg", "c.jpg"))
    return one.model_copy(update={"bound": one.score + changes.pop("gap", 0.0), **changes})


def test_a_proof_claims_no_more_than_was_proven():
    assert bound_in_words(set_with()).startswith("Proven: no other set of these frames under this brief")
    assert bound_in_words(set_with(), first=False).startswith("Proven: no other set that differs in this way")
    assert "up to 3.0 points more may exist" in bound_in_words(set_with(proven=False, gap=3.0))
    assert "less than 0.1 points" in bound_in_words(set_with(proven=False, gap=0.01))
    assert "Proven" not in bound_in_words(set_with(kind="graded"))


def test_corrections_in_words():
    assert correction_in_words(Correction(black=0, mid=0.02, white=0)) == "None: it fits as it was shot"
    said = correction_in_words(Correction(black=-1, mid=2.5, white=0, cast_b=-3))
    assert said == "Mid tones lighter by 2.5; blacks deepened by 1.0; greys towards blue by 3.0"


@pytest.mark.parametrize(
    ("axis", "more", "less"),
    [
        ("mid", "Mid tones lighter by 2.0", "Mid tones darker by 2.0"),
        ("black", "Blacks lifted by 2.0", "Blacks deepened by 2.0"),
        ("white", "Whites raised by 2.0", "Whites lowered by 2.0"),
        ("cast_a", "Greys towards red by 2.0", "Greys towards green by 2.0"),
        ("cast_b", "Greys towards yellow by 2.0", "Greys towards blue by 2.0"),
        ("vignette", "Corners lighter by 2.0 EV", "Corners darker by 2.0 EV"),
        ("grain", "Grain added by 2.0", "Grain taken by 2.0"),
    ],
)
def test_every_correction_is_said_by_its_side(axis, more, less):
    """L* up is lighter, a* up is redder, b* up is yellower (CIE 1976); EV up is lighter."""
    none = dict.fromkeys(Correction.model_fields, 0.0)
    assert correction_in_words(Correction(**{**none, axis: 2.0})) == more
    assert correction_in_words(Correction(**{**none, axis: -2.0})) == less

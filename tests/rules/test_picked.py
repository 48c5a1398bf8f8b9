"""Picked: frames that editors would take out of a shoot earn more, linearly in logits, and say how early."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.domain.measures import Tuned
from setsolver.rules.picked import SPAN, Picked, worth_of
from tests.rules.earned import earned, said_of_first

LOGITS = st.floats(-9, 9)


def tuned(logits):
    return [None if logit is None else Tuned(3.0, logit) for logit in logits]


def paid(*logits):
    return earned(Picked(), "tuned", tuned(logits))


def said(*logits):
    return said_of_first(Picked(), "tuned", tuned(logits))


def test_trivial_usual_frames_earn_half():
    assert paid(0.0, 0.0) == [0.5, 0.5]


def test_feasible_a_worth_is_linear_up_to_its_ends():
    """By hand: half, and an eighth for each logit; at four logits and beyond nothing or all."""
    assert paid(1.0, -2.0, SPAN, -SPAN, 7.0, -7.0) == [0.625, 0.25, 1, 0, 1, 0]


def test_infeasible_nothing_is_ruled_out_and_the_unknown_counts_as_the_mean():
    assert paid(2.0, None, -4.0) == [0.75, 0.375, 0]
    assert paid(None, None) == [0.5, 0.5]  # before any frame has been looked at


def test_how_early_a_frame_would_be_picked_is_said_by_its_place_in_the_shoot():
    assert said(3.0, 1.0, 0.0, -1.0) == "the first that an editor would pick, of 4 frames of the shoot"
    assert said(1.0, 3.0, 0.0, -1.0) == "an editor would pick 1 of 4 frames of the shoot before it"
    assert said(-1.0, 3.0, 1.0, None) == "an editor would pick 2 of 3 frames of the shoot before it"
    assert said(0.0, None, None) == "the first that an editor would pick, of 1 frame of the shoot"
    assert said(None, 1.0) == "not looked at with an editor's eyes yet"


@given(LOGITS, LOGITS)
def test_a_worth_never_falls_as_logits_rise_and_lies_between_nothing_and_all(one, other):
    low, high = sorted((one, other))
    assert 0 <= worth_of(Tuned(3.0, low)) <= worth_of(Tuned(3.0, high)) <= 1


@given(st.floats(-SPAN, SPAN), st.floats(-SPAN, SPAN), st.floats(0, 1))
def test_a_worth_is_linear_between_its_ends(one, other, share):
    mixed = (1 - share) * one + share * other
    assert worth_of(Tuned(3.0, mixed)) == pytest.approx(
        (1 - share) * worth_of(Tuned(3.0, one)) + share * worth_of(Tuned(3.0, other))
    )


@given(LOGITS, st.floats(1, 5), st.floats(1, 5))
def test_appeal_is_not_paid_again(logit, one, other):
    assert worth_of(Tuned(one, logit)) == worth_of(Tuned(other, logit))

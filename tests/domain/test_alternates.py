"""What each kind of set is called: no more than it is."""

import pytest

from setsolver.domain.alternates import ALTERNATES, kind_said


@pytest.mark.parametrize("kind", ALTERNATES)
def test_every_alternate_says_that_it_differs_from_those_before_it(kind):
    assert kind_said(kind, 2, "wide").endswith("that differs from every set before it by 2 frames or more")
    assert kind_said(kind, 1, "wide").endswith("that differs from every set before it")


def test_another_lead_says_whose_lead_it_lacks():
    assert "without the lead frame of set 1 (its best paid wide frame) that" in kind_said("lead", 2, "wide")


def test_the_best_set_and_one_as_given_claim_nothing_more():
    assert kind_said("best", 2, "wide") == "The best set under this brief"
    assert kind_said("graded", 2, "wide") == "The set as given"

"""The tone of a brief: how far its amounts go, and which come in pairs."""

import pytest
from pydantic import ValidationError

from setsolver.domain.tone_wish import ToneWish
from tests.rules.builders import make_brief


@pytest.mark.parametrize(("amount", "good"), [(0, True), (100, True), (100.5, False), (-0.5, False)])
def test_amounts_of_tone_end_with_the_scale_of_lightness(amount, good):
    tone = {"reach": {"black": amount}, "slack": {"white": amount}}
    if good:
        assert make_brief(tone=tone).tone.reach.black == amount
    else:
        with pytest.raises(ValidationError):
            make_brief(tone=tone)


@pytest.mark.parametrize("axis", ["vignette", "grain"])
def test_what_counts_only_where_it_is_named_needs_reach_and_slack(axis):
    assert getattr(ToneWish(reach={axis: 1.0}, slack={axis: 0.2}).reach, axis) == 1.0
    for given, missing in (("reach", "slack"), ("slack", "reach")):
        with pytest.raises(ValidationError, match=f"{axis} has a {given} and no {missing}"):
            ToneWish(**{given: {axis: 1.0}})

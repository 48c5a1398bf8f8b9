"""The outcome as a document: plans come back from JSON, and what older versions wrote is still read."""

import json

import pytest
from pydantic import ValidationError

from setsolver.domain.outcome import Outcome
from setsolver.layout import plan_of
from tests.output.builders import brief, outcome


def test_a_plan_comes_back_from_json():
    made = outcome(brief(wall={"width": 400, "height": 250, "frame": 2}))
    plan = made.best.layout
    assert plan.left_cm == (400 - 3 * 54 - 2 * 6) / 2
    assert Outcome.model_validate_json(made.model_dump_json()).best.layout == plan


def test_positions_of_frames_are_those_of_the_plan():
    best = outcome(brief(5, layout={"kind": "cluster"})).best
    assert tuple(frame.position for frame in best.frames) == best.layout.places


def test_an_outcome_without_plans_is_read_and_its_plan_follows_from_its_positions():
    made = outcome()
    old = json.loads(made.model_dump_json())
    old["layout"] = {}
    for found in old["sets"]:
        del found["layout"]
    read = Outcome.model_validate(old)
    assert read.best.layout is None
    assert plan_of(brief(), read.best) == made.best.layout


@pytest.mark.parametrize(
    ("engine", "ours"),
    [("optimal", "proven"), ("feasible", "open"), ("infeasible", "none"), ("unknown", "undecided")],
)
def test_an_outcome_of_version_1_is_read_with_its_status_in_our_words(engine, ours):
    document = outcome(brief()).model_dump(mode="json")
    old = {key: value for key, value in document.items() if key != "near"} | {"version": 1, "status": engine}
    again = Outcome.model_validate({**old, "layout": {}})
    assert (again.version, again.status, again.near) == (2, ours, ())
    with pytest.raises(ValidationError, match="status"):
        Outcome.model_validate(document | {"status": engine})

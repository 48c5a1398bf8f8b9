"""The brief's model: defaults, short forms, and what it refuses."""

import json

import pytest
from pydantic import ValidationError

from setsolver.domain.brief import Brief


def brief(**changes):
    return Brief.model_validate({"name": "hall", "size": 3} | changes)


def faults(**changes):
    with pytest.raises(ValidationError) as caught:
        brief(**changes)
    return {error["loc"] for error in caught.value.errors()}


def test_name_and_size_are_enough():
    assert brief().role_names == ("wide", "medium", "close")
    assert brief().aspect_ratio == pytest.approx(1.5)
    assert brief().tone.reach.mid == 8


def test_roles_keep_their_order_and_take_the_short_form():
    given = brief(roles={"close": [1, 2], "kiln": {"count": [0, 1], "match": "keyword:kiln"}})
    assert given.role_names == ("close", "kiln")
    assert given.roles["close"].count == (1, 2)


def test_a_brief_survives_json():
    given = brief(roles={"wide": [1, 3]}, frames={"include": ["a.jpg"]}, tone={"treatment": "mono"})
    assert Brief.model_validate_json(given.model_dump_json()) == given
    assert Brief.model_validate(json.loads(given.model_dump_json())) == given


@pytest.mark.parametrize(
    ("changes", "where"),
    [
        ({"size": 0}, ("size",)),
        ({"size": "3"}, ("size",)),
        ({"size": True}, ("size",)),
        ({"size": 2.5}, ("size",)),
        ({"aspect": "3"}, ("aspect",)),
        ({"aspect": "a:b"}, ("aspect",)),
        ({"print_cm": 0}, ("print_cm",)),
        ({"print_cm": float("nan")}, ("print_cm",)),
        ({"min_ppi": float("inf")}, ("min_ppi",)),
        ({"name": ""}, ("name",)),
        ({"name": "a/b"}, ("name",)),
        ({"colour": 1}, ("colour",)),
        ({"roles": {"wid": [1, 2]}}, ("roles",)),
        ({"roles": {"wide": [2, 1]}}, ("roles", "wide", "count")),
        ({"roles": {"wide": [1]}}, ("roles", "wide", "count", 1)),
        ({"roles": {"kiln": {"count": [1, 1], "match": "kiln"}}}, ("roles", "kiln", "match")),
        ({"tone": {"treatment": "sepia"}}, ("tone", "treatment")),
        ({"tone": {"reach": {"mid": -1}}}, ("tone", "reach", "mid")),
        ({"weights": {"tone": -1}}, ("weights", "tone")),
        ({"repeats": {"moment": 0}}, ("repeats", "moment")),
        ({"frames": {"include": "a.jpg"}}, ("frames", "include")),
        ({"layout": {"kind": ""}}, ("layout", "kind")),
        ({"wall": {"width": 300}}, ("wall", "height")),
    ],
)
def test_what_is_not_allowed_is_refused_where_it_stands(changes, where):
    assert where in faults(**changes)


@pytest.mark.parametrize("roles", [{"wide": [2, 3], "close": [2, 3]}, {"wide": [0, 1], "close": [0, 1]}])
def test_roles_that_cannot_add_up_to_the_size_are_refused(roles):
    assert faults(roles=roles) == {()}


def test_all_faults_are_told_at_once():
    assert len(faults(size=0, aspect="x", tone={"reach": {"mid": -1}}, sise=1)) == 4


def test_a_brief_does_not_change():
    with pytest.raises(ValidationError):
        brief().size = 4

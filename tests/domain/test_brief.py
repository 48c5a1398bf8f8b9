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
    assert brief().tone.reach.mid == 31


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
        ({"slot": [{"role": "wid"}]}, ("slot", 0)),
        ({"slot": [{"count": 3}]}, ("slot", 0)),
        ({"slot": [{"role": "wide"}, {"role": "close", "count": [3, 2]}]}, ("slot", 1, "count")),
        ({"slot": [{"role": "wide", "count": True}]}, ("slot", 0, "count")),
        ({"slot": [{"role": "wide", "aspect": "3"}]}, ("slot", 0, "aspect")),
        ({"slot": [{"role": "wide", "print_cm": 0}]}, ("slot", 0, "print_cm")),
        ({"slot": [{"role": "wide", "colour": 1}]}, ("slot", 0, "colour")),
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


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"slot": [{"role": "wide", "count": 3}], "roles": {"wide": [3, 3]}}, "keep [roles] or the [[slot]] tables"),
        ({"slot": [{"role": "wide"}, {"role": "wide", "count": 2}]}, "2 slots are called wide; give each a name"),
        ({"slot": [{"role": "wide", "count": 4}]}, "the slots ask for at least 4 frames, but size is 3"),
        ({"slot": [{"role": "wide", "count": 2}]}, "the slots allow at most 2 frames, but size is 3"),
    ],
)
def test_slots_that_do_not_fit_are_told_with_the_way_out(changes, words):
    with pytest.raises(ValidationError) as caught:
        brief(**changes)
    assert words in str(caught.value)


def test_a_slot_takes_from_the_brief_what_it_does_not_say():
    given = brief(aspect="1:1", print_cm=20, min_ppi=90, slot=[{"role": "wide", "count": 2}, {"match": "path:kiln/*"}])
    wide, kiln = given.slots
    assert (wide.name, wide.least, wide.most, wide.aspect, wide.print_cm, wide.min_ppi) == ("wide", 2, 2, "1:1", 20, 90)
    assert (kiln.name, kiln.role, kiln.match, kiln.least) == ("kiln/*", "kiln/*", "path:kiln/*", 1)
    assert kiln.size_cm == (20, 20)

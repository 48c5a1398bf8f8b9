"""What is said of an outcome to people, line by line, of outcomes made by hand."""

from types import SimpleNamespace as Made

import pytest

from setsolver.cli.said import echo_outcome, echo_set, proof_in_words


def found(*, proven, kind="best"):
    frames = [
        Made(plays="wide", path="a.jpg", ppi=299.6, level_degrees=-1.26, rendition="tighter", lead=True),
        Made(plays="close", path="b.jpg", ppi=80.0, level_degrees=0.0, rendition="plain", lead=False),
    ]
    ledger = [Made(rule=rule, points=value) for rule, value in [("appeal", 4.0), ("tone_costs", -0.5), ("appeal", 3.0)]]
    return Made(
        says="the best",
        score=6.5,
        bound=7.75,
        proven=proven,
        kind=kind,
        frames=frames,
        ledger=ledger,
        layout=Made(says="three in a row"),
    )


def test_a_set_is_told_with_its_frames_and_its_points_by_rule(told):
    assert told(echo_set, 2, found(proven=True)) == [
        "",
        "Set 2: the best",
        "  6.50 points; proven: no other set under this brief scores more",
        "  wide   a.jpg  300 ppi  level -1.3°  a tighter crop  lead",
        "  close  b.jpg   80 ppi",
        "  appeal +7.00, tone costs -0.50",
        "  plan: three in a row",
    ]


def test_what_is_proven_of_a_set_is_told_and_what_is_not(told):
    assert proof_in_words(found(proven=True, kind="look")) == "proven: no other such set scores more"
    open_ = "not proven: a better set might score up to 1.25 points more (7.75)"
    assert proof_in_words(found(proven=False)) == open_
    assert proof_in_words(found(proven=False, kind="look")) == open_


def outcome(**more):
    clash = {"rule": "size", "says": "3 wide", "way_out": "ask for 2"}
    given = {
        "brief": {"name": "hall"},
        "catalog": "pottery",
        "catalog_frames": 8,
        "considered": 7,
        "renditions": 9,
        "seconds": 1.26,
        "status": "none",
        "ruled_out": [Made(rule="min_ppi", in_full="1 frame")],
        "sets": [],
        "conflict": [Made(**clash), Made(**clash | {"way_out": ""})],
        "near": [],
        "prices": [],
        "notes": ["a note"],
    }
    return Made(**given | more)


def test_where_there_is_no_set_the_clash_is_told_with_its_ways_out(told):
    assert told(echo_outcome, outcome()) == [
        "hall on pottery: 8 frames, 7 considered in 9 renditions, 1.3 s: none",
        "  ruled out by min ppi: 1 frame",
        "",
        "No set under these rules. These cannot hold together; each way out alone makes a set possible:",
        "  3 wide; way out: ask for 2",
        "  3 wide",
        "note: a note",
    ]


@pytest.mark.parametrize(
    ("rule", "way_out", "near", "says"),
    [
        ("include", "", (), "These wishes and the rules cannot hold together:"),
        ("size", "", ["x"], "These cannot hold together; the nearest brief with a set comes after them:"),
        ("size", "", (), "These cannot hold together, and no small change of one rule alone is enough ("),
    ],
)
def test_a_clash_without_a_way_out_is_told_for_what_it_is(told, rule, way_out, near, says):
    clash = [Made(rule=rule, says="3 wide", way_out=way_out), Made(rule="size", says="x", way_out="")]
    near = [Made(says=words) for words in near]
    lines = told(echo_outcome, outcome(conflict=clash, near=near))
    assert lines[3].startswith(f"No set under these rules. {says}")


def test_prices_are_told_where_they_are_not_nothing_and_the_rest_in_one_line(told):
    prices = [
        Made(points=2.0, proven=True, says="size costs 2"),
        Made(points=0.0, proven=False, says="tone costs 0 to 1"),
        Made(points=0.0, proven=True, says="roles cost nothing"),
    ]
    answered = outcome(status="proven", ruled_out=[], conflict=[], near=[Made(says="with 4")], prices=prices, notes=[])
    assert told(echo_outcome, answered)[1:] == [
        "near miss: with 4",
        "price: size costs 2",
        "price: tone costs 0 to 1",
        "price: without any one of the other 1 rules the best set would stay the same (proven)",
    ]
    answered.prices = prices[2:]
    says = "price: without any one rule the best set would stay the same (proven)"
    assert told(echo_outcome, answered)[2:] == [says]


def test_an_undecided_search_asks_for_time(told):
    (_, _, says) = told(echo_outcome, outcome(status="undecided", ruled_out=[], conflict=[], notes=[]))
    assert says == "No set was found in the time given, and none was ruled out; give it more with --time-limit."

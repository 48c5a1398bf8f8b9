"""What verbs say of sets to people, line by line, of documents made by hand: the same numbers, signs and names."""

import pytest

from setsolver.cli import check, compare, gaps, learn, why


def line(rule, value, says, *frames):
    return {"rule": rule, "points": value, "says": says, "frames": list(frames)}


IN_SET = {
    "frame": "kiln\x1b.jpg",
    "in_set": True,
    "says": "It costs 2.",
    "lines": [line("near_duplicates", -1.5, "a twin"), line("appeal", 12, "4 of 5")],
    "leave": ["kiln\x1b.jpg"],
    "enter": ["jar.jpg", "bowl.jpg"],
}


def test_why_tells_lines_of_the_ledger_and_who_leaves_and_enters(told):
    assert told(why._echo, IN_SET) == [
        r"kiln\x1b.jpg is in the set. It costs 2.",
        "what it earns in this set:",
        "  near duplicates   -1.50  a twin",
        "  appeal           +12.00  4 of 5",
        r"  out: kiln\x1b.jpg",
        "  in: jar.jpg, bowl.jpg",
    ]


def test_why_tells_of_an_absent_frame_what_it_would_earn_or_what_clashes(told):
    assert told(why._echo, IN_SET | {"in_set": False, "leave": [], "enter": []}) == [
        r"kiln\x1b.jpg is not in the set. It costs 2.",
        "what it would earn in that set:",
        "  near duplicates   -1.50  a twin",
        "  appeal           +12.00  4 of 5",
    ]
    clashes = [{"says": "3 wide", "way_out": "ask for 2"}, {"says": "none fits", "way_out": ""}]
    nothing = {"frame": "a.jpg", "in_set": False, "says": "No set.", "lines": [], "conflict": clashes}
    assert told(why._echo, nothing) == [
        "a.jpg is not in the set. No set.",
        "  3 wide; ask for 2",
        "  none fits",
    ]


GRADED = {
    "holds": False,
    "brief": "hall",
    "breaks": [{"says": "2 frames", "way_out": "give 3"}, {"says": "too dark", "way_out": ""}],
    "swap": {"says": "b.jpg for c.jpg"},
    "frames": ["a.jpg", "b.jpg"],
    "notes": ["a note"],
    "set": {
        "score": 7.13,
        "frames": [{"path": "a.jpg", "role": "wide", "ppi": 299.6}, {"path": "b.jpg", "role": "close", "ppi": 80}],
        "ledger": [
            line("appeal", 4, "both", "a.jpg"),
            line("tone_costs", -0.5, "lifted", "a.jpg"),
            line("appeal", 3, "one", "b.jpg"),
            line("variety", 0.63, "two", "a.jpg", "b.jpg"),
        ],
    },
}


def test_check_tells_each_frame_s_own_points_and_then_those_of_the_whole_set(told):
    assert told(check._echo, GRADED) == [
        "This set does not hold together under the brief hall.",
        "  broken: 2 frames (way out: give 3)",
        "  broken: too dark",
        "  best swap: b.jpg for c.jpg",
        "  note: a note",
        "",
        "7.13 points, frame by frame:",
        "",
        "wide  a.jpg  300 ppi  +3.50",
        "  appeal      +4.00  both",
        "  tone costs  -0.50  lifted",
        "",
        "close  b.jpg  80 ppi  +3.00",
        "  appeal  +3.00  one",
        "",
        "the set as a whole",
        "  variety  +0.63  two",
    ]


def test_check_tells_of_no_swap_only_where_one_was_wanted(told):
    ungraded = GRADED | {"breaks": [], "notes": [], "set": None, "swap": None}
    none = "  best swap: no single swap makes it keep the rules; `setsolver suggest` finds the best set"
    last = "  It cannot be graded: no frame of it can play a role."
    assert told(check._echo, ungraded)[1:] == [none, last]
    assert told(check._echo, ungraded | {"holds": True}) == [
        "This set holds together under the brief hall.",
        last,
    ]
    assert told(check._echo, ungraded | {"frames": ["a.jpg"]})[1:] == [last]


def test_gaps_tells_what_to_shoot_and_in_which_tone(told):
    document = {
        "says": "hall lacks 1 frame",
        "missing": [{"says": "shoot a wide one", "look": {"mid": 48.6, "black": 9.6}}, {"says": "and any", "look": {}}],
        "thin": [{"says": "close is thinnest"}],
        "notes": ["a note"],
        "conflict": [{"says": "3 wide", "way_out": "ask for 2"}, {"says": "none fits", "way_out": ""}],
        "ruled_out": [
            {"rule": "min_ppi", "says": "all", "way_out": "print smaller"},
            {"rule": "x", "says": "y", "way_out": ""},
        ],
    }
    assert told(gaps._echo, document) == [
        "hall lacks 1 frame",
        "  shoot a wide one; its tone near mid tone 49, black point 10",
        "  and any",
        "  close is thinnest",
        "  note: a note",
        "  clash: 3 wide; ask for 2",
        "  clash: none fits",
        "  ruled out by min ppi: all (print smaller)",
        "  ruled out by x: y",
    ]


def learned(choices=20, unmatched=(), moved=(), left_out=None):
    return {
        "taste": {"evidence": {"choices": choices, "shoots": 2}},
        "contradictions": ["a over b, and b over a"],
        "unmatched": list(unmatched),
        "moved": list(moved),
        "told": 0.876,
        "told_before": 0.5,
        "left_out": left_out,
    }


def test_learn_tells_what_moved_and_how_far_it_may_be_trusted(told):
    moved = [{"weight": "appeal", "before": 8, "after": 9.12345}]
    assert told(learn._echo, learned(moved=moved, left_out=0.754)) == [
        "20 choices in 2 shoots.",
        "  a over b, and b over a",
        "  weight  before  after",
        "  appeal       8  9.123",
        "It tells 88% of them rightly; before it was 50%.",
        "Of choices left out of the fit it tells 75%: trust that number.",
    ]
    few = told(learn._echo, learned(choices=19))
    assert few[2] == "No weight moved."
    assert few[-1] == "Few choices: the weights moved little, and more may move them elsewhere."


@pytest.mark.parametrize(("count", "more"), [(5, ""), (6, " and 1 more")])
def test_learn_names_five_that_are_called_like_no_frame(told, count, more):
    says = told(learn._echo, learned(unmatched=[f"{number}.jpg" for number in range(count)]))[2]
    assert says == f"  Called like no frame of the shoot, and left out: 0.jpg, 1.jpg, 2.jpg, 3.jpg, 4.jpg{more}."


def test_compare_tells_each_set_s_points_by_rule_and_what_only_one_has(told):
    sets = [
        {"rules": {"appeal": 12.0, "tone_costs": -1.5}, "look": {"black": 9.0, "vignette": 0.0}},
        {"rules": {"appeal": 9.5, "variety": 0.25}, "look": {"black": 10.5, "vignette": 0.0}},
    ]
    assert compare._rules(sets) == [
        ["", "1", "2"],
        ["appeal", "+12.00", "+9.50"],
        ["tone costs", "-1.50", "+0.00"],
        ["variety", "+0.00", "+0.25"],
    ]
    assert [row[0] for row in compare._looks(sets)] == ["black point"]
    pair = {
        "sets": ["hall#1", "hall#2"],
        "points": -3.75,
        "warnings": ["other briefs"],
        "shared": [],
        "only_first": ["a.jpg", "b.jpg"],
        "only_second": ["c.jpg"],
    }
    assert told(compare._echo_pair, pair) == [
        "",
        "hall#2 against hall#1: -3.75 points",
        "  warning: other briefs",
        "  both: no frame",
        "  only hall#1: a.jpg, b.jpg",
        "  only hall#2: c.jpg",
    ]

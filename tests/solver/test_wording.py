"""Each rule and each way out in words, with names and without."""

import numpy as np
import pytest

from setsolver.domain.problem import Problem
from setsolver.solver.ruleset import Rule
from setsolver.solver.wording import Names, rule_in_words, way_out

PROBLEM = Problem.from_arrays(
    {
        "size": 3,
        "gain": np.where(np.eye(5, 2) > 0, np.nan, 1.0),
        "role_min": [1, 2],
        "role_max": [2, 2],
        "tone": np.zeros((5, 1)),
        "tone_reach": [7.5],
        "group": np.zeros((1, 5)),
        "group_cap": [2],
        "conflict": [[0, 1]],
        "include": [2],
        "exclude": [3, 4],
    }
)
NAMES = Names(("wide", "close"), ("black",), ("moment",), {0: "a.jpg", 2: "c.jpg"})


@pytest.mark.parametrize(
    ("rule", "words", "bare", "value", "way"),
    [
        (Rule("size"), "a set of 3", "a set of 3", 2.0, "a set of 2"),
        (Rule("role_min", 1), "at least 2 of close", "at least 2 of role 1", 1.0, "at least 1 of close"),
        (Rule("role_max", 0), "at most 2 of wide", "at most 2 of role 0", 3.0, "at most 3 of wide"),
        (Rule("gain", 0), "2 frames can be wide", "2 frames can be role 0", 2.0, "2 more frames for wide"),
        (Rule("tone_reach", 0), "reach of black 7.5", "reach of tone 0 7.5", 8.0012, "reach of black 7.5 -> 8.01"),
        (Rule("group_cap", 0), "at most 2 of one moment", "at most 2 of one label of group 0", 3.0, "3 of one moment"),
        (Rule("conflict", 0), "not both a.jpg and frame 1", "not both frame 0 and frame 1", 0.0, "let both in"),
        (Rule("conflict"), "1 pair not both in", "1 pair not both in", 0.0, "let both in"),
        (Rule("include", 0), "c.jpg in", "frame 2 in", 0.0, "drop this wish"),
        (Rule("exclude", 1), "frame 4 out", "frame 4 out", 0.0, "drop this wish"),
        (Rule("exclude"), "2 frames out", "2 frames out", None, ""),
        (Rule("exclude"), "2 frames out", "2 frames out", 0.0, "drop one of these wishes"),
    ],
)
def test_words(rule, words, bare, value, way):
    assert rule_in_words(PROBLEM, rule, NAMES) == words
    assert rule_in_words(PROBLEM, rule, Names()) == bare
    assert way_out(PROBLEM, rule, value, NAMES) == way

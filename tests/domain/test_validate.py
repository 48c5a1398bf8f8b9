"""The validator against sums by hand, and against a fine grid of looks."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.domain.problem import Problem
from setsolver.domain.validate import best_look, broken_rules, effort_of, look_window, score_terms

BASE = Problem.from_arrays(
    {
        "size": 2,
        "frame": [0, 1, 2, 2],
        "gain": [[10.0, np.nan], [4.0, 6.0], [1.0, 1.0], [2.0, 2.0]],
        "tone": [[0.0], [4.0], [9.0], [9.0]],
        "tone_weight": [2.0],
        "tone_slack": [1.0],
        "tone_reach": [3.0],
        "place": [[0.0, 0.0], [3.0, 4.0], [0.0, 1.0], [0.0, 1.0]],
        "variety_weight": 0.5,
    }
)


def test_the_terms_are_those_of_the_formula():
    terms = score_terms(BASE, (0, 1), (0, 1), (1.0,))
    # 10 + 6; 0.5 / (2 - 1) * 25; 2 * (max(0, 1 - 1) + max(0, 3 - 1))
    assert terms.gain.tolist() == [10, 6]
    assert terms.variety.sum() == pytest.approx(12.5)
    assert terms.effort.sum() == pytest.approx(4.0)
    assert terms.score == pytest.approx(24.5)
    euclidean = score_terms(BASE.replaced(variety_kind="euclidean"), (0, 1), (0, 1), (1.0,))
    assert euclidean.variety.sum() == pytest.approx(2.5)


def test_the_window_is_where_everyone_reaches():
    low, high = look_window(BASE, (0, 1))
    assert (low[0], high[0]) == (0.0, 4.0)
    assert best_look(BASE, (0, 2)) is None


@given(
    st.lists(st.floats(-20, 20), min_size=1, max_size=6),
    st.floats(0, 3),
    st.one_of(st.just(np.inf), st.floats(0, 30)),
)
def test_no_look_on_a_grid_costs_less_than_the_best(tones, slack, reach):
    total = len(tones)
    problem = Problem.from_arrays(
        {
            "size": total,
            "gain": np.zeros((total, 1)),
            "tone": np.array(tones)[:, None],
            "tone_weight": [1.0],
            "tone_slack": [slack],
            "tone_reach": [reach],
        }
    )
    everyone = range(total)
    look = best_look(problem, everyone)
    low, high = look_window(problem, everyone)
    if look is None:
        assert low[0] > high[0]
        return
    low, high = max(low[0], -60.0), min(high[0], 60.0)
    grid = np.linspace(low, high, 401)
    costs = np.maximum(0, np.abs(np.array(tones)[:, None] - grid) - slack).sum(axis=0)
    mine = np.maximum(0, np.abs(np.array(tones) - look[0]) - slack).sum()
    assert mine <= costs.min() + 1e-9
    assert not broken_rules(problem, list(everyone), [0] * total, look.tolist())


@pytest.mark.parametrize(
    ("change", "chosen", "roles", "look", "broken"),
    [
        ({}, (0, 1), (0, 1), (2.0,), []),
        ({}, (0,), (0,), (0.0,), ["size"]),
        ({}, (2, 3), (0, 0), (9.0,), ["frame"]),
        ({}, (0, 1), (1, 1), (2.0,), ["gain[0, 1]"]),
        ({"role_min": [0, 2]}, (0, 1), (0, 1), (2.0,), ["role_min[1]"]),
        ({"role_max": [0, 2]}, (0, 1), (0, 1), (2.0,), ["role_max[0]"]),
        ({}, (0, 1), (0, 1), (4.5,), ["tone_reach[0]"]),
        ({"group": [[5, 5, -1, -1]], "group_cap": [1]}, (0, 1), (0, 1), (2.0,), ["group_cap[0]"]),
        ({"group": [[-1, -1, -1, -1]], "group_cap": [0]}, (0, 1), (0, 1), (2.0,), []),
        ({"conflict": [[1, 0]]}, (0, 1), (0, 1), (2.0,), ["conflict"]),
        ({"include": [2]}, (0, 1), (0, 1), (2.0,), ["include"]),
        ({"exclude": [1]}, (0, 1), (0, 1), (2.0,), ["exclude"]),
    ],
)
def test_each_rule_alone(change, chosen, roles, look, broken):
    found = broken_rules(BASE.replaced(**change), chosen, roles, look)
    assert [text.split(":")[0] for text in found] == broken


def test_of_looks_that_cost_the_same_the_middle_is_taken():
    # with a slack of 3 every look from 4 - 3 to 2 + 3 is free for 2 and 4
    parts = {"size": 2, "gain": np.zeros((2, 1)), "tone": [[2.0], [4.0]], "tone_weight": [1.0], "tone_slack": [3.0]}
    assert best_look(Problem.from_arrays(parts), (0, 1)).tolist() == [3.0]


def test_a_label_taken_too_often_is_told_with_how_often():
    parts = {"size": 3, "gain": np.zeros((4, 1)), "group": [[0, 0, 0, 1]], "group_cap": [2]}
    assert broken_rules(Problem.from_arrays(parts), (0, 1, 2), (0, 0, 0), ()) == ["group_cap[0]: 3, at most 2"]
    assert broken_rules(Problem.from_arrays(parts), (0, 1, 3), (0, 0, 0), ()) == []
    fewer = Problem.from_arrays(parts | {"group": [[5, 5, 5, 1]], "size": 4})
    assert broken_rules(fewer, (0, 1, 2, 3), (0,) * 4, ()) == ["group_cap[0]: 3, at most 2"]


@pytest.mark.parametrize(("level", "effort"), [(0.0, [0, 0, 3]), (-6.0, [4, 2, 9]), (np.nan, [0, 1, 2])])
def test_effort_is_what_lies_beyond_the_slack_on_either_side(level, effort):
    # values 0, -2 and 5 with a slack of 2: from -6 they lie 6, 4 and 11 away; the best level lies in the middle one
    found = effort_of(np.array([0.0, -2.0, 5.0]), 2.0, np.inf, level)
    assert found.sum() == pytest.approx(sum(effort))
    if not np.isnan(level):
        assert found.tolist() == pytest.approx(effort)


@given(st.lists(st.tuples(st.integers(0, 7), st.integers(0, 7)).filter(lambda pair: pair[0] != pair[1])), st.data())
def test_every_parted_pair_of_the_set_is_told_and_no_other(conflict, data):
    """Against the pairs of the set looked up one by one, whichever way round they are listed."""
    chosen = data.draw(st.lists(st.integers(0, 7), min_size=2, max_size=5, unique=True))
    pairs = np.array(conflict, np.int64).reshape(-1, 2)
    problem = Problem.from_arrays({"size": len(chosen), "gain": np.zeros((8, 1)), "conflict": pairs})
    parted = {frozenset(pair) for pair in conflict}
    wanted = [f"conflict: frames {a} and {b}" for a, b in combinations(chosen, 2) if frozenset((a, b)) in parted]
    assert broken_rules(problem, chosen, [0] * len(chosen), ()) == wanted

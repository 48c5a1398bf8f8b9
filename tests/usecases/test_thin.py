"""Where a set is thinnest, by hand: what one more good frame would gain in each role."""

from types import SimpleNamespace

import numpy as np
import pytest

from setsolver.domain.problem import Problem
from setsolver.solver.search import search
from setsolver.usecases.effort import Effort
from setsolver.usecases.thin import _place_of, thin_roles, worth_of

N = np.nan


def test_a_frame_to_be_shot_is_worth_what_the_better_ones_are():
    """The ninetieth percentile of 0 to 10 is 9 (linear between ranks); what cannot be played does not count."""
    assert worth_of(np.arange(11.0)) == pytest.approx(9)
    assert worth_of(np.array([[N, 4.0], [N, N]])) == 4
    assert worth_of(np.array([N, N])) == 0
    assert worth_of(np.zeros(0)) == 0


def assembled(gain, **more):
    problem = Problem.from_arrays({"gain": gain, **more})
    slots = tuple(SimpleNamespace(name=name) for name in ("wide", "close"))
    return SimpleNamespace(problem=problem, slots=slots), search(problem).choice


def test_the_thinnest_role_comes_first_and_a_full_one_gains_nothing():
    """Two wide and one close: 10 + 2 + 8. One more wide is worth 9.2 and takes the place of 2; close has its best."""
    assembly, best = assembled(
        [[10.0, N], [2.0, N], [N, 8.0], [N, 8.0], [N, 8.0]], size=3, role_min=[2, 1], role_max=[2, 1]
    )
    assert best.score == pytest.approx(20)
    wide, close = thin_roles(assembly, best, Effort())
    assert (wide["role"], wide["frames"]) == ("wide", 2)
    assert wide["points"] == pytest.approx(9.2 - 2)
    assert wide["says"] == "2 frames can be wide; one more good one in this look would gain 7.2 points"
    assert (close["role"], close["frames"], close["points"]) == ("close", 3, 0.0)
    assert close["says"] == "3 frames can be close; one more good one in this look would gain nothing"


def test_renditions_of_one_frame_are_one_frame():
    assembly, best = assembled(
        [[10.0, N], [9.0, N], [N, 8.0]], frame=[0, 0, 1], size=2, role_min=[1, 1], role_max=[1, 1]
    )
    assert {row["role"]: row["frames"] for row in thin_roles(assembly, best, Effort())} == {"wide": 1, "close": 1}


def test_it_would_stand_where_the_worst_paid_of_its_role_stands():
    """So that it adds as much variety as that one; where the role is empty it is near nothing."""
    assembly, best = assembled(
        [[10.0, N], [4.0, N], [N, 1.0]],
        place=[[1.0, 0.0], [0.0, 2.0], [3.0, 3.0]],
        size=2,
        role_min=[2, 0],
        role_max=[2, 1],
    )
    assert sorted(best.chosen) == [0, 1]
    assert _place_of(assembly.problem, best, 0).tolist() == [[0.0, 2.0]]
    assert _place_of(assembly.problem, best, 1).tolist() == [[0.0, 0.0]]

"""How many must be able to play one of some roles, against every way in which a set may count its roles."""

from itertools import product

import numpy as np
import pytest

from setsolver.domain.problem import Problem
from setsolver.solver.ruleset import Ruleset
from setsolver.solver.teams import MOST_ROLES, scarcest, teams_of


def rules_by(seed, roles, size):
    rng = np.random.default_rng(seed)
    least = rng.integers(0, 2, roles)
    gain = np.where(rng.random((9, roles)) < 0.5, np.nan, 1.0)
    arrays = {"size": size, "gain": gain, "role_min": least, "role_max": least + rng.integers(0, 3, roles)}
    return Ruleset.of(Problem.from_arrays(arrays))


def ways(rules):
    """Return every way to count the roles of a set, [ways, roles]."""
    spans = [
        range(least, min(most, rules.size_min) + 1) for least, most in zip(rules.role_min, rules.role_max, strict=True)
    ]
    return np.array([way for way in product(*spans) if sum(way) == rules.size_min])


@pytest.mark.parametrize("seed", range(150))
def test_a_team_needs_what_the_set_that_asks_least_of_it_needs(seed):
    rules = rules_by(seed, 1 + seed % 4, 1 + seed % 5)
    able, teams, needs = teams_of(rules)
    counts, everybody = ways(rules), 1 << len(rules.role_min)
    assert teams.tolist() == [*range(everybody), everybody]
    assert np.all(able & everybody)
    assert needs[-1] == rules.size_min
    for item in range(len(able)):
        uses = rules.playable[item] & (rules.role_max > 0)
        assert [bool(able[item] >> r & 1) for r in range(len(uses))] == uses.tolist()
    if len(counts):
        for team, need in zip(teams[:-1], needs[:-1], strict=True):
            inside = [r for r in range(len(rules.role_min)) if team >> r & 1]
            assert need == counts[:, inside].sum(axis=1).min()


def test_strangers_stand_in_for_those_who_can():
    rules = rules_by(3, 2, 4)
    _, teams, before = teams_of(rules)
    rules.strangers[1] = 2
    _, _, after = teams_of(rules)
    assert (before - after)[:-1].tolist() == [2 * (team >> 1 & 1) for team in teams[:-1].tolist()]
    assert before[-1] == after[-1]


@pytest.mark.parametrize(("roles", "all_of_them"), [(MOST_ROLES, True), (MOST_ROLES + 1, False)])
def test_of_many_roles_single_ones_all_but_one_and_all_are_counted(roles, all_of_them):
    _, teams, _ = teams_of(rules_by(0, roles, 8))
    everyone = 2**roles - 1
    few = {0, everyone, *(2**r for r in range(roles)), *(everyone - 2**r for r in range(roles))}
    assert set(teams.tolist()) == (set(range(2**roles)) if all_of_them else few) | {2**roles}


def test_the_scarcest_team_has_the_fewest_frames_for_each_that_it_misses():
    """By hand: role 0 wants two of the frames 0 to 3, role 1 one of 4, 5, 6; a wish and an exclude take one each."""
    gain = np.full((8, 2), np.nan)
    gain[:4, 0] = gain[4:7, 1] = gain[7, 0] = 1.0
    arrays = {"size": 3, "frame": [0, 1, 2, 3, 4, 5, 6, 3], "gain": gain, "role_min": [2, 1], "role_max": [2, 1]}

    def frames(**changes):
        rules = Ruleset.of(Problem.from_arrays(arrays | changes))
        return scarcest(rules, *teams_of(rules)).tolist()

    assert frames() == [0, 1, 2, 3]  # 2 frames for each of two; 3 for one; 7 / 3 of everybody
    assert frames(exclude=[4, 5]) == [6]
    assert frames(include=[1]) == [0, 2, 3]  # 3 for one, as many as of role 1: the first team of the two
    assert frames(include=[5], exclude=[3]) == [0, 1, 2]
    assert frames(include=[0, 1, 5]) == []

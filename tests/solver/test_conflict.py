"""The conflict answer: minimal by dropping each rule, its ways out exact, against plain enumeration."""

import time
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from setsolver.domain.problem import Problem
from setsolver.solver import conflict
from setsolver.solver.feasible import possible
from setsolver.solver.ruleset import Rule, Ruleset, rules_of
from setsolver.solver.shrink import minimal_clash
from setsolver.solver.wording import Names
from tests.solver.small import any_set, just_below, small_problem

seeds = given(st.integers(0, 10**6))


def dropped(problem, rules):
    """Return the problem without the given rules, by its plain arrays; sizes 1 to M where ``size`` is among them."""
    arrays = problem.to_arrays()
    frames = len(np.unique(problem.frame))
    for rule in sorted(rules, key=lambda rule: (rule.key, -(rule.at or 0))):
        if rule.key == "gain":
            arrays["gain"] = arrays["gain"].copy()
            arrays["gain"][np.isnan(arrays["gain"][:, rule.at]), rule.at] = 0.0
        elif rule.key in ("conflict", "include", "exclude"):
            at = slice(None) if rule.at is None else rule.at
            arrays[rule.key] = np.delete(arrays[rule.key], at, axis=0)
        elif rule.key != "size":
            free = {"role_min": 0, "role_max": frames, "tone_reach": np.inf, "group_cap": frames}[rule.key]
            arrays[rule.key] = np.where(np.arange(len(arrays[rule.key])) == rule.at, free, arrays[rule.key])
    arrays["role_max"] = np.where(problem.role_max < problem.size, arrays["role_max"], frames)
    free_size = any(rule.key == "size" for rule in rules)
    return [
        replace(problem, **arrays | {"size": size, "variety_weight": 0.0, "variety_kind": "squared"})
        for size in (range(1, frames + 1) if free_size else [problem.size])
    ]


def some_set(problem, without):
    return any(any_set(sized) for sized in dropped(problem, without))


@settings(max_examples=150, deadline=None)
@seeds
def test_a_clash_is_empty_exactly_where_a_set_exists_and_none_of_its_rules_is_to_spare(seed):
    problem = small_problem(seed, most=7, tight=0.5)
    rules, minimal = minimal_clash(problem)
    assert minimal
    assert (rules == []) is any_set(problem)
    assume(rules)
    others = [rule for rule in every_rule(problem) if rule not in whole(rules)]
    assert not some_set(problem, others)
    for rule in rules:
        assert some_set(problem, [*others, rule]), f"{rule} is not needed"


def every_rule(problem):
    """Return all rules, conflicts and excludes one by one."""
    rules = [rule for rule in rules_of(problem) if rule.key not in ("conflict", "exclude")]
    return rules + [Rule(key, at) for key in ("conflict", "exclude") for at in range(len(getattr(problem, key)))]


def whole(rules):
    assert all(rule.at is not None or rule.key == "size" for rule in rules)
    return rules


@settings(max_examples=150, deadline=None)
@seeds
def test_each_way_out_is_the_smallest(seed):
    problem = small_problem(seed, most=7, tight=0.4)
    clashes = conflict.find(problem)
    assume(clashes)
    named = {str(rule): rule for rule in [*rules_of(problem), *every_rule(problem)]}
    for clash in clashes:
        rule = named[clash.rule]
        if clash.loosened is None:
            assert not some_set(problem, [rule])
            assert "does not help" in clash.says
        else:
            assert_smallest(problem, rule, clash.loosened)


def assert_smallest(problem, rule, value):
    if rule.key in ("include", "exclude", "conflict"):
        assert value == 0
        assert some_set(problem, [rule])
        return
    if rule.key == "gain":
        assert strangers(problem, rule.at, int(value))
        assert not strangers(problem, rule.at, int(value) - 1)
        return
    if rule.key == "size":
        held = [p.size for p in dropped(problem, [rule]) if any_set(p)]
        assert value in held
        assert abs(value - problem.size) == min(abs(size - problem.size) for size in held)
        return
    nearly = {"tone_reach": just_below(value), "role_min": value + 1}.get(rule.key, value - 1)
    assert any_set(with_value(problem, rule, value))
    assert not any_set(with_value(problem, rule, nearly))


def with_value(problem, rule, value):
    array = np.array(getattr(problem, rule.key))
    array[rule.at] = value
    return replace(problem, **{rule.key: array})


def strangers(problem, role, count):
    """True where a set exists when any ``count`` renditions may play the role too."""
    outside = np.flatnonzero(np.isnan(problem.gain[:, role]))
    for extra in combinations(outside, min(count, len(outside))):
        gain = problem.gain.copy()
        gain[list(extra), role] = 0.0
        if any_set(replace(problem, gain=gain)):
            return True
    return False


def dark_and_bright():
    """Two dark wide frames and three bright close ones, their mid tones 20 apart."""
    return Problem.from_arrays(
        {
            "size": 3,
            "gain": [[5, np.nan], [5, np.nan], [np.nan, 5], [np.nan, 5], [np.nan, 5]],
            "role_min": [1, 1],
            "tone": [[40.0], [42.0], [60.0], [62.5], [66.0]],
            "tone_reach": [8.0],
            "tone_slack": [1.0],
        }
    )


def test_the_way_out_is_said_in_the_callers_words():
    names = Names(roles=("wide", "close"), axes=("mid tone",))
    says = {clash.rule: clash.says for clash in conflict.find(dark_and_bright(), names=names)}
    # Both wides and the darkest close: 60 - 40 = 20, or one wide and two closes: 62.5 - 42 = 20.5; 20 / 2 - 1 = 9.
    assert says["tone_reach[0]"] == "reach of mid tone 8; way out: reach of mid tone 8 -> 9"
    assert says["role_min[0]"] == "at least 1 of wide; way out: at least 0 of wide"
    assert says["gain[:,0]"] == "2 frames can be wide; way out: one more frame for wide"
    assert set(says) == {"size", "role_min[0]", "gain[:,0]", "tone_reach[0]"}


def test_a_feasible_problem_has_no_clash():
    assert conflict.find(dark_and_bright().replaced(tone_reach=[9.0])) == ()


def test_wishes_that_exclude_each_other_are_named():
    problem = Problem.from_arrays(
        {"size": 2, "gain": np.ones((4, 1)), "include": [1, 3], "conflict": [[0, 1], [3, 1], [0, 2]]}
    )
    clashes = {clash.rule: clash for clash in conflict.find(problem, names=Names(frames={3: "kiln.jpg"}))}
    assert set(clashes) == {"include[0]", "include[1]", "conflict[1]"}
    assert clashes["conflict[1]"].says == "not both kiln.jpg and frame 1; way out: let both in"


def test_many_excludes_are_one_rule():
    problem = Problem.from_arrays(
        {
            "size": 5,
            "gain": np.ones((60, 1)),
            "group": [np.arange(60) % 30 // 15],
            "group_cap": [2],
            "exclude": np.arange(30),
        }
    )
    assert {clash.rule for clash in conflict.find(problem)} == {"size", "group_cap[0]"}
    wider = problem.replaced(group=[np.r_[np.arange(30), np.arange(30) // 15]])
    assert {clash.rule for clash in conflict.find(wider)} == {"size", "group_cap[0]", "exclude"}


def thousands(total=5000):
    rng = np.random.default_rng(5)
    scene = np.sort(rng.integers(0, total // 40, total))
    return Problem.from_arrays(
        {
            "size": 9,
            "gain": np.where(rng.random((total, 3)) < 0.3, np.nan, 1.0),
            "role_min": [2, 2, 2],
            "tone": rng.normal(0, 8, (total, 4)) + rng.normal(0, 4, (scene.max() + 1, 4))[scene],
            "tone_reach": [0.9] * 4,
            "group": np.stack([np.arange(total) // 3, scene]),
            "group_cap": [1, 2],
        }
    )


@pytest.mark.slow
def test_five_thousand_renditions_are_explained_within_seconds_and_verified():
    problem = thousands()
    clashes = conflict.find(problem, deadline=time.perf_counter() + 60)
    assert {"size", "tone_reach[0]"} <= {clash.rule for clash in clashes}
    assert not any("time ran out" in clash.says for clash in clashes)
    for axis in range(4):
        value = next(c.loosened for c in clashes if c.rule == f"tone_reach[{axis}]")
        rule = Rule("tone_reach", axis)
        assert possible(Ruleset.of(with_value(problem, rule, value))).answer is True
        assert possible(Ruleset.of(with_value(problem, rule, just_below(value)))).answer is False


def test_no_time_says_nothing_and_little_time_says_what_is_not_known():
    assert conflict.find(thousands(2000), deadline=time.perf_counter() - 1) == ()


def test_time_spent_compiling_is_added_to_a_deadline(monkeypatch):
    over = time.perf_counter() - 1.0
    monkeypatch.setattr(conflict, "make_ready", lambda part: 0.0)
    assert all("time ran out" in clash.says for clash in conflict.find(thousands(500), deadline=over))
    monkeypatch.setattr(conflict, "make_ready", lambda part: {"clash": 3600.0}[part])
    assert conflict.find(thousands(500), deadline=over) == conflict.find(thousands(500))
    assert conflict.find(thousands(500))

"""Alternates of every kind against plain enumeration; no set is a near-copy of another."""

from dataclasses import replace
from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from setsolver.domain.problem import Problem
from setsolver.domain.validate import FEASIBILITY_TOLERANCE, best_look, broken_rules, look_window, score_terms
from setsolver.solver import alternates
from setsolver.solver.alternates import KINDS, find, lead_frame, other_looks
from setsolver.solver.search import search
from tests.solver.small import all_sets, scored, small_problem

TIES = 1e-7  # points


def apart(problem, one, other):
    """Return by how many frames two sets differ."""
    return problem.size - len(set(problem.frame[list(one)]) & set(problem.frame[list(other)]))


def best_of(problem, sets, score=scored):
    return max((score(problem, *found) for found in sets), default=-np.inf)


def solved(seed):
    problem = small_problem(seed, most=8)
    best = search(problem).choice
    assume(best is not None)
    return problem, best


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 10**6), st.integers(1, 3))
def test_the_k_best_sets_differ_and_each_is_the_best_of_what_is_left(seed, differ):
    problem, best = solved(seed)
    differ = min(differ, problem.size)
    sets, every = [best], list(all_sets(problem))
    for _, found in find(problem, best, ("differs",) * 4, differ=differ):
        left = [(c, r) for c, r in every if all(apart(problem, c, s.chosen) >= differ for s in sets)]
        assert_answer(problem, found, best_of(problem, left), "differs")
        if found.choice:
            sets.append(found.choice)
    assert all(apart(problem, a.chosen, b.chosen) >= differ for a, b in combinations(sets, 2))
    assert all(a.score >= b.score - TIES for a, b in pairwise(sets))


@settings(max_examples=100, deadline=None)
@given(st.integers(0, 10**6), st.integers(1, 3), st.permutations(KINDS))
def test_sets_known_beforehand_change_no_answer(seed, differ, kinds):
    problem, best = solved(seed)
    differ, every = min(differ, problem.size), list(all_sets(problem))
    known = [best] + [replace(best, chosen=chosen, roles=roles) for chosen, roles in every[:: max(1, len(every) // 20)]]
    fresh = find(problem, best, kinds, differ=differ)
    warm = find(problem, best, kinds, differ=differ, start=known)
    for (_, one), (_, other) in zip(fresh, warm, strict=True):
        assert (one.choice is None, one.finished) == (other.choice is None, other.finished)
        if one.choice is not None:
            assert one.choice.score == pytest.approx(other.choice.score, abs=TIES)
            assert one.choice.bound == pytest.approx(other.choice.bound, abs=TIES)


def assert_answer(problem, found, truth, kind):
    assert found.finished
    if truth == -np.inf:
        assert found.choice is None
        return
    choice = found.choice
    assert (choice.kind, choice.proven) == (kind, True)
    assert choice.score == pytest.approx(truth, abs=1e-6)
    assert choice.score == pytest.approx(score_terms(problem, choice.chosen, choice.roles, choice.look).score, abs=1e-9)
    assert broken_rules(problem, choice.chosen, choice.roles, choice.look) == []


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 10**6))
def test_another_lead_frame_is_the_best_set_without_the_lead(seed):
    problem, best = solved(seed)
    lead = lead_frame(problem, best)
    assert lead in problem.frame[list(best.chosen)]
    left = [(c, r) for c, r in all_sets(problem) if lead not in problem.frame[list(c)]]
    ((_, found),) = find(problem, best, ("lead",))
    assert_answer(problem, found, best_of(problem, left), "lead")


def score_in(problem, boxes, chosen, roles):
    """Return the best score of a set with its look in one of the boxes: every kink and end of each axis is tried."""
    least, most = look_window(problem, chosen)
    scores = [-np.inf]
    for low, high in boxes:
        bottom, top = np.maximum(least, low), np.minimum(most, high)
        if np.all(bottom <= top + FEASIBILITY_TOLERANCE):
            top = np.maximum(bottom, top)
            scores.append(score_terms(problem, chosen, roles, cheapest(problem, chosen, bottom, top)).score)
    return max(scores)


def cheapest(problem, chosen, bottom, top):
    look = np.zeros(len(bottom))
    for axis, slack in enumerate(problem.tone_slack):
        tone = problem.tone[list(chosen), axis]
        kinks = np.clip(np.r_[tone - slack, tone + slack], bottom[axis], top[axis])
        look[axis] = min(kinks, key=lambda x: np.maximum(0, np.abs(tone - x) - slack).sum())
    return look


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 10**6))
@example(208595)  # a window of looks that rounding closes by one unit in the last place
def test_another_look_is_the_best_set_with_a_look_one_reach_away(seed):
    problem, best = solved(seed)
    ((_, found),) = find(problem, best, ("look",))
    boxes = other_looks(problem, best)
    left = [(c, r) for c, r in all_sets(problem) if apart(problem, c, best.chosen) >= 1]
    assert_answer(problem, found, best_of(problem, left, lambda p, c, r: score_in(p, boxes, c, r)), "look")
    if found.choice:
        away = np.abs(np.array(found.choice.look) - best.look)
        reach = np.where(problem.tone_reach > 0, problem.tone_reach, problem.tone.std(axis=0))
        assert np.any(away >= reach - 1e-9)


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 10**6), st.sampled_from(["less_effort", "more_effort"]))
def test_another_balance_is_the_best_among_sets_of_no_more_or_no_less_effort(seed, kind):
    problem, best = solved(seed)
    ((_, found),) = find(problem, best, (kind,))
    sets = [(c, r) for c, r in all_sets(problem) if apart(problem, c, best.chosen) >= 1]
    assert (found.choice is None) is (not sets)
    if not sets:
        return

    def effort(chosen, roles):
        return score_terms(problem, chosen, roles, best_look(problem, chosen)).effort.sum()

    mine = effort(found.choice.chosen, found.choice.roles)
    sign = 1 if kind == "less_effort" else -1
    left = [(c, r) for c, r in sets if sign * effort(c, r) <= sign * mine + 1e-9]
    assert_answer(problem, found, best_of(problem, left), kind)


def gains(values, **more):
    return Problem.from_arrays({"size": 2, "gain": np.asarray(values, dtype=float)[:, None]} | more)


def test_all_kinds_together_never_repeat_a_set():
    rng = np.random.default_rng(7)
    problem = gains(rng.normal(10, 1, 12), tone=rng.normal(0, 5, (12, 2)), tone_reach=[4, 4], tone_weight=[0.3, 0.3])
    best = search(problem).choice
    answers = find(problem, best, KINDS, differ=1)
    assert [answer.kind for answer in answers] == list(KINDS)
    sets = [best, *(answer.found.choice for answer in answers)]
    assert all(apart(problem, a.chosen, b.chosen) >= 1 for a, b in combinations(sets, 2))


def test_pairs_that_differ_in_both_frames():
    problem = gains(np.arange(6))
    best = search(problem).choice
    answers = find(problem, best, ("differs",) * 3, differ=2)
    assert [a.found.choice and a.found.choice.chosen for a in answers] == [(2, 3), (0, 1), None]


def test_without_tone_axes_there_is_no_other_look():
    problem = gains(np.arange(6))
    ((_, found),) = find(problem, search(problem).choice, ("look",))
    assert (found.choice, found.finished) == (None, True)


def test_time_is_shared_between_questions(monkeypatch):
    asked = []

    def watch(problem, **options):
        asked.append(options["deadline"])
        return search(problem, **options)

    monkeypatch.setattr(alternates, "search", watch)
    monkeypatch.setattr(alternates.time, "perf_counter", lambda: 100.0)
    problem = gains(np.arange(6))
    best = replace(search(problem).choice, kind="best")
    find(problem, best, ("differs", "lead"), deadline=1e9 + 100)
    assert asked == [5e8 + 100, 1e9 + 100]


def test_a_kind_without_a_set_says_nothing_of_the_others():
    problem = gains(np.arange(6))
    look, differs, again = find(problem, search(problem).choice, ("look", "differs", "look"))
    assert look.found.choice is None
    assert differs.found.choice is not None
    assert again.found.choice is None


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6), st.integers(1, 2), st.sampled_from(KINDS), st.sampled_from(KINDS))
def test_sets_found_before_are_differed_from_as_those_found_in_one_go(seed, differ, first, then):
    """Use cases ask kind by kind, and hand on what they have."""
    problem, best = solved(seed)
    differ = min(differ, problem.size)
    one, two = find(problem, best, (first, then), differ=differ)
    before = () if one.found.choice is None else (one.found.choice,)
    (alone,) = find(problem, best, (then,), differ=differ, before=before)
    assert (alone.found.choice is None) == (two.found.choice is None)
    if alone.found.choice is not None:
        assert alone.found.choice.score == pytest.approx(two.found.choice.score, abs=TIES)
        for known in (best, *before):
            assert apart(problem, alone.found.choice.chosen, known.chosen) >= differ

"""Compiling is done before a clock starts, once, for any problem."""

import sys
import time
from pathlib import Path

import numpy as np
import pytest

import setsolver.solver
from setsolver.solver import feasible, ready, search, solve, windows
from setsolver.solver.explore import explore
from setsolver.solver.incumbent import start_at
from tests.solver.small import small_problem


def test_what_was_made_ready_serves_any_problem():
    ready.make_ready()
    for seed in range(12):
        solve(small_problem(seed))
    assert len(explore.signatures) == 1
    assert len(start_at.signatures) == 1


def test_every_kernel_that_python_calls_is_made_ready(monkeypatch):
    ran = []
    for module, names in ((ready, ("start_at", "explore")), (feasible, ("enough", "explore"))):
        for name in names:
            kernel = getattr(module, name)
            ran_too = lambda *words, kernel=kernel: ran.append(kernel) or kernel(*words)  # noqa: E731 - it is that short
            monkeypatch.setattr(module, name, ran_too)
    for part, kernels in (("search", {start_at, explore}), ("clash", {windows.enough, windows.explore})):
        ready._PARTS[part]()
        assert set(ran) == kernels
        ran.clear()


def test_a_second_call_waits_for_nothing():
    ready.make_ready()
    assert ready.make_ready() == 0.0


@pytest.mark.parametrize("part", ["search", "clash"])
def test_each_part_is_run_once(monkeypatch, part):
    ran = []
    monkeypatch.setattr(ready, "_DONE", set())
    monkeypatch.setattr(ready, "_PARTS", {part: lambda: ran.append(part)})
    ready.make_ready(part)
    ready.make_ready(part)
    assert ran == [part]


def test_time_spent_compiling_is_added_to_a_deadline(monkeypatch):
    searching = sys.modules["setsolver.solver.search"]  # the package's attribute of this name is the function
    problem = small_problem(3)
    best = search(problem)
    monkeypatch.setattr(searching, "make_ready", lambda: 3600.0)
    passed = time.perf_counter() - 1.0
    assert search(problem, deadline=passed).finished
    monkeypatch.setattr(searching, "make_ready", lambda: 0.0)
    late = search(problem, deadline=passed)
    assert late.bound >= best.bound or np.isclose(late.bound, best.bound)


def test_every_kernel_goes_through_compiled():
    folder = Path(setsolver.solver.__file__).parent
    others = [p for p in folder.rglob("*.py") if p.name not in ("compiled.py", "bundle.py", "linked.py")]
    using = [p.name for p in others if "numba" in p.read_text(encoding="utf-8")]
    assert not using

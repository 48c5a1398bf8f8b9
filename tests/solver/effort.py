"""What the search does for an answer, counted by fixed problems.

A bound that is looser than it need be, a candidate kept that proof could have dropped, or a split at a worse place make
no answer wrong; they make the search longer. ``recorded_effort.json`` holds what it took. Where the search is changed
on purpose, look at what the counts became, and write them anew: ``python -m tests.solver.effort``. It keeps the
problems that take the same on other processors: the last digit of a sum differs between them, and may turn a split.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.metadata import version
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np

from setsolver.domain.problem import Problem
from setsolver.solver import alternates, feasible, loosen, shrink
from setsolver.solver.book import pricing
from setsolver.solver.book import solve as book_solve
from setsolver.solver.compiled import NOTHING
from setsolver.solver.explore import UNSETTLED, Node, explore, load, stack_for
from setsolver.solver.incumbent import start_at
from setsolver.solver.instance import instance_of
from setsolver.solver.restriction import Restriction
from setsolver.solver.ruleset import Ruleset
from setsolver.solver.search import search
from setsolver.solver.workspace import workspace
from tests.solver.book.events import event
from tests.solver.problems import arrays
from tests.solver.small import small_problem

FILE = Path(__file__).with_name("recorded_effort.json")
PROCESSORS = ({}, {"generic": ""}, {"haswell": "+avx2,+fma"})
"""Whose machine code is tried, by Numba's names: this machine's own, the plainest, one that fuses products and sums."""


def wide(seed: int) -> Problem:
    """Return a problem of up to six look axes, with groups that nest and groups that do not."""
    rng = np.random.default_rng(seed)
    total, axes = int(rng.integers(60, 200)), int(rng.integers(3, 7))
    scene = np.sort(rng.integers(0, total // 8, total))
    crossing = rng.integers(-1, 6, total)
    least = rng.integers(0, 2, 3)
    return Problem.from_arrays(
        {
            "size": int(rng.integers(5, 9)),
            "gain": np.where(rng.random((total, 3)) < 0.2, np.nan, 20 + rng.normal(0, 3, (total, 3))),
            "role_min": least,
            "role_max": least + rng.integers(1, 6, 3),
            "tone": rng.normal(0, 5, (scene.max() + 1, axes))[scene] + rng.normal(0, 1.5, (total, axes)),
            "tone_weight": rng.uniform(0.3, 1.2, axes),
            "tone_slack": rng.uniform(0, 1.5, axes),
            "tone_reach": rng.uniform(6, 14, axes),
            "place": rng.normal(0, 1, (total, 4)),
            "variety_weight": float(rng.integers(0, 3) * 2),
            "variety_kind": ["squared", "euclidean"][int(rng.integers(0, 2))],
            "group": [scene // 3, scene, crossing],
            "group_cap": [3, 1, 2],
            "conflict": rng.choice(total, (6, 2), replace=False),
            "include": rng.integers(0, total, int(rng.random() < 0.3)),
        }
    )


def problem_of(name: str) -> Problem:
    """Return a problem by its name: the kind, a size, a seed."""
    kind, most, seed = name.split()
    if kind == "tight":
        return small_problem(int(seed), most=int(most), tight=0.4)
    if kind == "wide":
        return wide(int(seed))
    return Problem.from_arrays(arrays(int(seed), most=int(most)))


def below_the_root(problem: Problem, budget: int = 30_000, margin: float = 0.5) -> list[float]:
    """Return [nodes, candidates weighed, nodes still open, score, greatest bound] of one turn below the root."""
    instance, item = instance_of(problem, Restriction())
    work, stack = workspace(instance, np.array([margin])), stack_for(instance)
    tone = instance.tones.tone
    nobody, everyone = np.zeros(0, dtype=np.int64), np.arange(len(item))
    dims, roles = instance.places.tangent.shape[1], instance.roles.gain.shape[1]
    low, high = tone.min(axis=0), tone.max(axis=0)
    load(stack, Node(np.inf, nobody, low, high, np.zeros(dims), np.zeros(roles), everyone, UNSETTLED, 0, 0.0))
    height = explore(instance, work, stack, budget, 10, NOTHING)
    return [*map(int, work.spent), height, float(work.score[0]), float(stack.bound[:height].max(initial=NOTHING))]


def first_sets(problem: Problem) -> list[float]:
    """Return the points of the set that is built around each of three looks, from three to twelve candidates."""
    instance, _ = instance_of(problem, Restriction())
    tone = instance.tones.tone
    low, high = tone.min(axis=0), tone.max(axis=0)
    found = []
    for at, few in ((0, 3), (len(tone) // 2, 6), (len(tone) - 1, 12)):
        work = workspace(instance, np.zeros(1))
        start_at(instance, work, tone[at].copy(), low, high, few)
        found.append(float(work.score[0]))
    return found


def whole_search(problem: Problem) -> list[float]:
    """Return [nodes, score, bound] of a search that ends by itself or after so many nodes."""
    found = search(problem, workers=1, most=3000)
    return [found.nodes, NOTHING if found.choice is None else found.choice.score, max(NOTHING, found.bound)]


@contextmanager
def calls_of(module: ModuleType, name: str) -> Iterator[list[Any]]:
    """Within the block, note what a function of a module gives each time that it is called by its name there."""
    was, given = getattr(module, name), []

    def noted(*words: Any, **options: Any) -> Any:
        given.append(was(*words, **options))
        return given[-1]

    setattr(module, name, noted)
    try:
        yield given
    finally:
        setattr(module, name, was)


def for_any_set(problem: Problem) -> list[float]:
    """Return [answer, boxes of looks, questions to CP-SAT] of the search for any set at all."""
    with calls_of(feasible, "explore") as explored, calls_of(feasible, "set_among") as asked:
        verdict = feasible.possible(Ruleset.of(problem))
    return [float(bool(verdict.answer)), sum(boxes for *_, boxes in explored), len(asked)]


def for_a_clash(problem: Problem) -> list[float]:
    """Return [rules that clash, questions until they were known, questions for the way out by each rule]."""
    with calls_of(shrink, "possible") as asked:
        rules, _ = shrink.minimal_clash(problem)
    ways = []
    for rule in rules:
        with calls_of(loosen, "possible") as tried:
            loosen.loosened(problem, rule)
        ways.append(len(tried))
    return [len(rules), len(asked), *ways]


def other_sets(problem: Problem) -> list[float]:
    """Return [nodes, score, bound] of an alternate of each kind."""
    best = search(problem, workers=1).choice
    if best is None:
        return []
    answers = alternates.find(problem, best, alternates.KINDS, workers=1)
    scores = [NOTHING if one.found.choice is None else one.found.choice.score for one in answers]
    return [
        number
        for one, score in zip(answers, scores, strict=True)
        for number in (one.found.nodes, score, max(NOTHING, one.found.bound))
    ]


BOOKS: dict[str, dict[str, Any]] = {
    "plain": {},
    "paced": {"pace": 60.0, "people": 0.0},
    "people": {"people": 40.0},
    "few": {"density": (1.0, 1.2), "opens": []},
    "closing": {"closes": np.array([False, True, False])},
    "long": {"frames": 20, "passages": 5, "spreads": (4, 6)},
}


def for_a_book(name: str) -> list[float]:
    """Return [programs, searches, their nodes, columns, score, bound, the first book's points, the program's value]."""
    kind, seed = name.split()
    with calls_of(book_solve, "relax") as programs, calls_of(pricing, "search") as searches:
        found = book_solve.solve_book(event(int(seed), **BOOKS[kind]), workers=1, work=0.05 if kind == "long" else None)
    counts = [len(programs), len(searches), sum(one.nodes for one in searches), found.columns]
    points = [found.score, found.bound, found.greedy or 0.0, found.relaxed or 0.0]
    return [*counts, *(max(NOTHING, one) for one in points)]


def _names(any_: int, sizes: tuple[int, ...], wide_: int) -> list[str]:
    return [
        *(f"any {most} {seed}" for most in sizes for seed in range(any_)),
        *(f"wide 0 {seed}" for seed in range(wide_)),
    ]


COUNTED = {
    "below the root": (below_the_root, _names(40, (20, 60, 150), 60)),
    "first sets": (first_sets, _names(25, (60,), 25)),
    "whole search": (whole_search, _names(15, (60, 150), 20)),
    "any set": (for_any_set, _names(40, (30,), 20)),
    "a clash": (for_a_clash, [f"tight 9 {seed}" for seed in range(50)]),
    "other sets": (other_sets, _names(30, (30,), 0)),
    "a book": (for_a_book, [f"{kind} {seed}" for kind in BOOKS for seed in range(2 if kind == "long" else 4)]),
}
"""What is counted -> (how, by which problems)."""
WITNESSES = {"a clash": ("ortools",), "a book": ("ortools", "scipy")}
"""What depends on which of several answers as good as each other others' solvers give, and whose."""


OTHERWISE = {"whole search": {"any 60 9"}}
"""What the lowest versions that are allowed (numba 0.61, NumPy 2.0, SciPy 1.15, OR-Tools 9.11) take otherwise: tried by
hand, as no other versions are here when counts are written anew."""


def counted(what: str, names: list[str]) -> dict[str, list[float]]:
    """Return the counts of each problem."""
    return {name: COUNTED[what][0](name if what == "a book" else problem_of(name)) for name in names}


def _everything() -> dict[str, dict[str, list[float]]]:
    """Return all counts, of problems that have frames enough."""
    return {
        what: counted(what, [name for name in names if _is_to_be_counted(what, name)])
        for what, (_, names) in COUNTED.items()
    }


def _is_to_be_counted(what: str, name: str) -> bool:
    if what == "a book" or name in OTHERWISE.get(what, ()):
        return what == "a book"
    problem = problem_of(name)
    return len(instance_of(problem, Restriction())[1]) >= problem.size


def versions() -> dict[str, str]:
    """Return the versions of others' solvers."""
    return {name: version(name) for name in sorted({name for names in WITNESSES.values() for name in names})}


def _alike(one: list[float], other: list[float]) -> bool:
    return bool(np.allclose(one, other, rtol=1e-9, atol=1e-9))


def _write() -> None:
    found = []
    for processor in PROCESSORS:
        name, features = next(iter(processor.items()), ("", ""))
        set_ = {"NUMBA_CPU_NAME": name, "NUMBA_CPU_FEATURES": features} if name else {}
        words = [sys.executable, "-m", "tests.solver.effort", "tell"]
        told = subprocess.run(words, check=True, capture_output=True, env={**os.environ, **set_})
        found.append(json.loads(told.stdout))
    first, *others = found
    kept = {
        what: {name: row for name, row in rows.items() if all(_alike(row, other[what][name]) for other in others)}
        for what, rows in first.items()
    }
    for what, rows in kept.items():
        print(f"{what}: {len(rows)} of {len(first[what])} problems")  # noqa: T201 - a script
    lines = [f'"versions": {json.dumps(versions())}']
    lines += [
        f"{json.dumps(what)}: {{\n"
        + ",\n".join(f" {json.dumps(name)}: {json.dumps(row)}" for name, row in rows.items())
        + "\n}"
        for what, rows in kept.items()
    ]
    FILE.write_text("{\n" + ",\n".join(lines) + "\n}\n", encoding="utf-8")


if __name__ == "__main__":
    if sys.argv[1:] == ["tell"]:
        print(json.dumps(_everything()))  # noqa: T201 - a script
    else:
        _write()

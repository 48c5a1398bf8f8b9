"""Other good sets, none a near-copy of another: the next best, another lead frame, another look, another balance.

Questions are asked one after another; each set must differ by at least ``differ`` frames from every set before it. What
each kind asks for, beside that:

``differs``
    the best of what is left: the k best sets, each the best that differs from all before it.
``lead``
    the best set without the lead frame of the best set. The lead frame is the best paid of the first role that the set
    fills.
``look``
    the best set whose look is at least one *reach* away from the look of the best set on at least one tone axis:
    farther than a frame on that look may be corrected. On an axis without a reach (infinite or 0) the standard
    deviation of all tones there counts instead.
``less_effort``, ``more_effort``
    the best set with all tone weights doubled, or halved, scored by the weights as they are. See ``balance``.

Each answer's ``bound`` is for its own question: no set that answers it scores more.
"""

from __future__ import annotations

import time
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from setsolver.domain.alternates import ALTERNATES
from setsolver.solver import balance
from setsolver.solver.search import Found, Restriction, search

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from setsolver.domain.problem import Floats, Problem
    from setsolver.domain.solution import Choice

__all__ = ["KINDS", "Answer", "find", "lead_frame"]

KINDS = tuple(ALTERNATES)


class Answer(NamedTuple):
    """What a question of this kind found; ``found.choice`` is None where there is no such set or time ran out."""

    kind: str
    found: Found


def find(
    problem: Problem,
    best: Choice,
    kinds: Sequence[str],
    *,
    differ: int = 1,
    before: Sequence[Choice] = (),
    alike: Mapping[int, frozenset[int]] | None = None,
    deadline: float | None = None,
    seed: int = 0,
    workers: int | None = None,
    stop: Callable[[], bool] | None = None,
    progress: Callable[[float, float], None] | None = None,
    start: Sequence[Choice] = (),
) -> tuple[Answer, ...]:
    """Return an answer to each question, in order; any two sets, ``best`` and those before too, differ by ``differ``.

    Parameters
    ----------
    best : the set that the others are alternates of, usually the best.
    kinds : questions out of ``KINDS``, each any number of times.
    differ : least number of frames by which any two sets differ, 1 to N. before : sets found earlier.
    alike : to a frame, the frames that a viewer would call the same picture; a set with one of those instead does not
        differ by it.
    deadline : moment of ``time.perf_counter()`` at which to stop; what is left is shared evenly between the questions.
    seed, workers, stop, progress, start : as in ``search``.
    """
    answers: list[Answer] = []
    sets = [best, *before]
    for number, kind in enumerate(kinds):
        until = _share(deadline, len(kinds) - number)
        options: dict[str, object] = {
            "deadline": until,
            "seed": seed,
            "workers": workers,
            "stop": stop,
            "progress": progress,
            "start": start,
        }
        same = [a.found for a in answers if (a.kind, a.found.choice, a.found.finished) == (kind, None, True)]
        # a set more to differ from makes no question easier: where there was no set there is none now
        found = (
            replace(same[0], nodes=0)
            if same
            else _ask(problem, kind, best, _differing(problem, sets, differ, alike or {}), options)
        )
        answers.append(Answer(kind, found))
        if found.choice is not None:
            sets.append(found.choice)
    return tuple(answers)


def lead_frame(problem: Problem, choice: Choice) -> int:
    """Return the frame that the set is built around: the best paid of the first role that it fills."""
    first = min(choice.roles)
    leads = [item for item, role in zip(choice.chosen, choice.roles, strict=True) if role == first]
    return int(problem.frame[max(leads, key=lambda item: float(problem.gain[item, first]))])


def other_looks(problem: Problem, choice: Choice) -> tuple[tuple[Floats, Floats], ...]:
    """Return the boxes of looks (low [K], high [K]) at least one reach away on some axis; () without tone axes."""
    boxes = []
    for axis, reach in enumerate(problem.tone_reach):
        away = float(reach) if 0 < reach < np.inf else float(problem.tone[:, axis].std())
        for side in (-1, 1):
            low, high = np.full(len(choice.look), -np.inf), np.full(len(choice.look), np.inf)
            (high if side < 0 else low)[axis] = choice.look[axis] + side * away
            boxes.append((low, high))
    return tuple(boxes)


def _ask(problem: Problem, kind: str, best: Choice, apart: Restriction, options: dict[str, object]) -> Found:
    if kind == "lead":
        apart = replace(apart, barred=apart.barred | {lead_frame(problem, best)})
    elif kind == "look":
        boxes = other_looks(problem, best)
        if not boxes:
            return Found(None, -np.inf, 0, finished=True)
        apart = replace(apart, boxes=boxes)
    elif kind in balance.FACTORS:
        return balance.find(problem, kind, apart, options)
    found = search(problem, restriction=apart, **options)  # type: ignore[arg-type]
    if found.choice is None:
        return found
    return replace(found, choice=replace(found.choice, kind=kind))


def _differing(
    problem: Problem, sets: Sequence[Choice], differ: int, alike: Mapping[int, frozenset[int]]
) -> Restriction:
    most = problem.size - differ
    frames = [problem.frame[list(s.chosen)].tolist() for s in sets]
    return Restriction(differ=tuple((frozenset().union(one, *(alike.get(f, ()) for f in one)), most) for one in frames))


def _share(deadline: float | None, questions: int) -> float | None:
    now = time.perf_counter()
    return None if deadline is None else now + max(0.0, deadline - now) / questions

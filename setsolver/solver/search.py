"""The exact search behind every question: the best set under the rules and under what the question adds to them.

Open nodes wait in a heap, the largest bound first. A round takes the first few, searches below each depth-first for a
bounded amount of work (side by side on all workers), and merges what comes back in their order. What a round does
depends on the rounds before it only, so the answer is the same for any number of workers.
"""

from __future__ import annotations

import heapq
import queue
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from setsolver.domain.solution import Choice
from setsolver.interrupts import held
from setsolver.machine import cores
from setsolver.solver.compiled import NOTHING
from setsolver.solver.core import TIE
from setsolver.solver.existence import any_set
from setsolver.solver.explore import UNSETTLED, Node, Stack, explore, load, stack_for, unload
from setsolver.solver.forced import forced_frames
from setsolver.solver.incumbent import start_at
from setsolver.solver.instance import instance_of
from setsolver.solver.polish import polished
from setsolver.solver.ready import make_ready
from setsolver.solver.restriction import Restriction
from setsolver.solver.workspace import Work, workspace

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from setsolver.domain.problem import Floats, Ints, Problem
    from setsolver.solver.instance import Instance

__all__ = ["Found", "Restriction", "search"]

BATCH = 16  # nodes a round; fixed, because the answer may not depend on the number of workers
BUDGET = 300_000  # candidates weighed below one node in a round, about 10 ms
FEW = 20_000  # the same while there are fewer nodes than a batch
ROOT_ROUNDS = 60
ROUNDS = 10
LOOKS = 16
FEW_LOOKS = 2
CANDIDATES = 40
MARGIN_SHARE = 0.04  # of the root's gap: hidden points from which a look axis is split before a frame


@dataclass(frozen=True)
class Found:
    """What a search found.

    Attributes
    ----------
    choice : the best set above the floor, its ``bound`` filled in; None where there is none or none was found.
    bound : no set under the question scores more (scores closer than a billionth count as equal); -inf where no set
        exists, at least the floor otherwise.
    nodes : search nodes opened.
    finished : True where the search ended by itself, so that no set above the floor is better than ``choice``.
    """

    choice: Choice | None
    bound: float
    nodes: int
    finished: bool


def search(
    problem: Problem,
    *,
    floor: float = -np.inf,
    restriction: Restriction | None = None,
    deadline: float | None = None,
    most: int | None = None,
    seed: int = 0,
    workers: int | None = None,
    stop: Callable[[], bool] | None = None,
    progress: Callable[[float, float], None] | None = None,
    start: Sequence[Choice] = (),
) -> Found:
    """Return the best set that scores more than ``floor``, with proof.

    Parameters
    ----------
    deadline : moment of ``time.perf_counter()`` at which to stop with what is there; time spent compiling is added.
    most : candidates that may be weighed, looked at after each round: unlike a deadline, it ends every run alike.
    seed : of the looks that the first sets are built around.
    workers : threads; None = one a core that this process may use.
    stop : asked after each round (some 50 ms); True stops as the deadline does, and so does Ctrl-C.
    progress : told (best score so far or -inf, bound so far) after each round.
    start : sets known beforehand, tried first; those that break a rule, or the restriction, are passed over. First
        sets are then built around their looks, not around looks drawn at random.
    """
    waited = make_ready()  # compiling is not searching: the clock stands still
    deadline = None if deadline is None else deadline + waited
    question = restriction or Restriction()
    start = [one for one in start if question.allows(problem.frame[list(one.chosen)].tolist())]
    wished = replace(problem, include=forced_frames(problem, question))
    instance, item = instance_of(wished, question)
    run = _Run(problem, question, instance, item, floor, workers or cores())
    known = [polished(problem, one.chosen, question.boxes) for one in start]
    for one in known:
        run.know(one)
    some = floor > NOTHING and any(one is not None for one in known)  # there are sets, none above the floor so far
    try:
        run.open_roots(_looks(instance, seed, start))
        if run.best <= NOTHING and run.heap and not some:
            run.settle_whether_any(seed, deadline)
        finished = run.loop(deadline, most, stop, progress)
    except KeyboardInterrupt:
        finished = False
    finally:
        run.close()
    return run.found(finished=finished)


class _Task(NamedTuple):
    """What came back from below one node."""

    score: float
    members: Ints
    nodes: int
    open: list[Node]


class _Run:
    """One search: the heap, the best set so far, and the workers' buffers."""

    def __init__(
        self, problem: Problem, question: Restriction, instance: Instance, item: Ints, floor: float, workers: int
    ) -> None:
        self.problem, self.question, self.instance, self.item = problem, question, instance, item
        self.floor = max(floor, NOTHING)
        self.best, self.members = NOTHING, np.zeros(0, dtype=np.int64)
        self.heap: list[tuple[float, int, Node]] = []
        self.pushed, self.nodes, self.bound = 0, 0, np.inf
        self.tuning = np.zeros(1)
        self.workers = max(1, workers)
        self.buffers: queue.SimpleQueue[tuple[Work, Stack]] = queue.SimpleQueue()
        self.pool: ThreadPoolExecutor | None = None

    def close(self) -> None:
        if self.pool is not None:
            self.pool.shutdown()

    def bar(self) -> float:
        """Return the score that a set must exceed to matter."""
        return self.floor if self.best <= NOTHING else max(self.floor, self.best + TIE * max(1.0, abs(self.best)))

    def know(self, choice: Choice | None) -> None:
        """Take a set known beforehand as the best so far."""
        if choice is not None and choice.score > self.bar():
            self.best, self.members = choice.score, np.searchsorted(self.item, choice.chosen)

    def open_roots(self, looks: Floats) -> None:
        """Start with one node a look box, after first sets around a few looks."""
        if len(self.item) < self.instance.size:
            self.bound = -np.inf
            return
        work = workspace(self.instance, self.tuning)
        boxes = _root_boxes(self.instance, self.question)
        for low, high in boxes:
            for look in looks:
                start_at(self.instance, work, np.clip(look, low, high), low, high, CANDIDATES)
        self._take(float(work.score[0]), work.found)
        for low, high in boxes:
            self._merge(self._below(self._root(low, high), 1, self.bar(), ROOT_ROUNDS))
        self.bound = -self.heap[0][0] if self.heap else -np.inf

    def settle_whether_any(self, seed: int, deadline: float | None) -> None:
        """Where the first looks gave no set, find one or prove that there is none, by a search made for that.

        This one is steered by the points of sets; without a set it would look for long in the dark. It keeps half of
        what is left of the time to itself, for what the other does not find.
        """
        now = time.perf_counter()
        until = None if deadline is None else now + 0.5 * max(0.0, deadline - now)
        verdict = any_set(self.problem, self.question, seed=seed, deadline=until)
        if verdict.answer is False:
            self.heap.clear()
        elif verdict.answer:
            self.know(polished(self.problem, verdict.chosen, self.question.boxes))

    def _root(self, low: Floats, high: Floats) -> Node:
        dims, roles = self.instance.places.tangent.shape[1], self.instance.roles.gain.shape[1]
        nobody, everyone = np.zeros(0, dtype=np.int64), np.arange(len(self.item))
        return Node(np.inf, nobody, low, high, np.zeros(dims), np.zeros(roles), everyone, UNSETTLED, 0, 0.0)

    def _merge(self, task: _Task) -> None:
        self._take(task.score, task.members)
        self.nodes += task.nodes
        for node in task.open:
            self._push(node)

    def _push(self, node: Node) -> None:
        if node.bound > self.bar():
            self.pushed += 1
            heapq.heappush(self.heap, (-node.bound, self.pushed, node))

    def _take(self, score: float, members: Ints) -> None:
        if score > self.bar():
            self.best, self.members = score, members.copy()

    def loop(
        self,
        deadline: float | None,
        most: int | None,
        stop: Callable[[], bool] | None,
        progress: Callable[[float, float], None] | None,
    ) -> bool:
        """Work rounds until nothing is open; return False where stopped before."""
        while self.heap and -self.heap[0][0] > self.bar():
            self.bound = -self.heap[0][0]
            if self.tuning[0] == 0.0 and self.best > NOTHING:
                self.tuning[0] = MARGIN_SHARE * (self.bound - self.best)
            if progress is not None:
                progress(self.best if self.best > NOTHING else -np.inf, self.bound)
            if (deadline is not None and time.perf_counter() >= deadline) or (stop is not None and stop()):
                return False
            if most is not None and self.nodes >= most:
                return False
            batch = [heapq.heappop(self.heap)[2] for _ in range(min(BATCH, len(self.heap)))]
            budget = BUDGET if len(batch) == BATCH else FEW
            for task in self._work(batch, budget):
                self._merge(task)
        self.bound = -np.inf
        return True

    def _work(self, batch: list[Node], budget: int) -> list[_Task]:
        bar = self.bar()
        if self.workers == 1 or len(batch) == 1:
            return [self._below(node, budget, bar, ROUNDS) for node in batch]
        if self.pool is None:
            self.pool = ThreadPoolExecutor(self.workers)
        with held():  # struck within the pool's own steps, it would never end; a batch is short
            return list(self.pool.map(lambda node: self._below(node, budget, bar, ROUNDS), batch))

    def _below(self, node: Node, budget: int, bar: float, rounds: int) -> _Task:
        """Search below a node. Runs on any thread; touches nothing that another one writes."""
        try:
            work, stack = self.buffers.get_nowait()
        except queue.Empty:
            work, stack = workspace(self.instance, self.tuning), stack_for(self.instance)
        work.score[0], work.spent[0] = NOTHING, 0
        work.toll[:] = 0.0  # what an earlier task left there depends on the workers
        load(stack, node)
        height = explore(self.instance, work, stack, budget, rounds, bar)
        task = _Task(
            float(work.score[0]), work.found.copy(), int(work.spent[0]), [unload(stack, i) for i in range(height)]
        )
        self.buffers.put((work, stack))
        return task

    def found(self, *, finished: bool) -> Found:
        """Return the answer with an honest bound."""
        floor = self.floor if self.floor > NOTHING else -np.inf
        score = self.best if self.best > NOTHING else -np.inf
        bound = max(score, floor, -np.inf if finished else self.bound)
        choice = None
        if self.best > NOTHING:
            choice = polished(self.problem, self.item[self.members].tolist(), self.question.boxes, bound)
            if choice is None:
                chosen = self.item[self.members].tolist()
                raise AssertionError(f"the search accepted {chosen}, which the validator refuses; please report this")
            if finished:  # the kernels' sum may lie a last digit off, by the order in which the set was found
                bound = max(choice.score, floor)
                choice = replace(choice, bound=bound)
        return Found(choice, bound, self.nodes, finished)


def _looks(instance: Instance, seed: int, start: Sequence[Choice]) -> Floats:
    """Return the looks to build first sets around [L, K]."""
    if start:
        return np.array([known.look for known in start[:FEW_LOOKS]], dtype=np.float64)
    total = instance.total
    return instance.tones.tone[np.random.default_rng(seed).choice(total, min(total, LOOKS), replace=False)]


def _root_boxes(instance: Instance, question: Restriction) -> list[tuple[Floats, Floats]]:
    """Return the look boxes to search: those of the question cut to the hull of all tones, where a best look lies."""
    tone = instance.tones.tone
    low, high = tone.min(axis=0, initial=np.inf), tone.max(axis=0, initial=-np.inf)
    if not question.boxes:
        return [(low, high)]
    boxes = []
    for least, most in question.boxes:
        if np.all(np.asarray(least) <= np.asarray(most)):
            # efforts are convex: of a box beside the hull the nearest looks are best
            boxes.append((np.clip(low, least, most), np.clip(high, least, most)))
    return boxes

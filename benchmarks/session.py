"""How soon a session answers: pin, bar, reweigh, swap, clash and price, from the call to the outcome.

usage: python benchmarks/session.py [--frames F] [--size N] [--seeds S] [--changes C] [--turns T] [--brief NAME]

Made-up measures of F frames, drawn at random within their ranges by the builders of the tests; their roles, tones and
groups look like a shoot's, their pictures are none. After a first solve, C changes of each kind in turn, each undone
before the next. Prints median and worst wall seconds, and the median of processor seconds, which other work on the
machine does not stretch.

pin : a frame of much gain that is not in must be in. bar : a frame of the set must be out. reweigh : one weight by a
quarter up or down. ten swaps : for a place, each with the best set around it, proven; first swap : the first of them.
clash : two of a role that one frame can play, which asks for another assembly; why there is none. all prices :
what every rule costs, together. rate, rescale, turn : a frame is given stars, said to be of another scale, or turned
by a quarter, with the write to the index: these are asked of a folder of F links to one photograph, whose index holds
the made-up measures, stars for one frame in 50; a turned frame is really measured again, in a process of its own whose
processor seconds are not counted. The first turn starts that process, which loads the networks. Other turns change the
frame's time as well, from a made-up one to the photograph's; a turn after that does not. Undo of a turn measures
nothing.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import TypeVar

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from setsolver.api import Catalog
from setsolver.domain.outcome import Outcome
from setsolver.domain.snapshot import Snapshot
from setsolver.solver.ready import make_ready
from setsolver.usecases.briefs import load_brief
from setsolver.usecases.effort import Effort
from setsolver.usecases.session import Session
from tests.rules.builders import make_random_snapshot
from tests.usecases.made_up import fill

T = TypeVar("T")
WEIGHTS = ("quality", "role", "variety", "tone")


class Clock:
    """Times by kind of question: wall and processor seconds."""

    def __init__(self) -> None:
        self.taken: dict[str, list[tuple[float, float]]] = {}

    def time(self, kind: str, ask: Callable[[], T]) -> T:
        """Ask and keep how long it took."""
        wall, cpu = time.perf_counter(), time.process_time()
        answer = ask()
        self.taken.setdefault(kind, []).append((time.perf_counter() - wall, time.process_time() - cpu))
        return answer


def run(session: Session, clock: Clock, changes: int, rng: np.random.Generator) -> None:
    """Ask questions of each kind in turn."""
    clock.time("first solve", session.solve)
    problem = session.assembly.problem
    good = problem.frame[np.argsort(-np.nanmax(problem.gain, axis=1))]
    paths = [session.snapshot.frames[frame].path for frame in dict.fromkeys(good[:400].tolist())]
    for _ in range(changes):
        inside = [frame.path for frame in session.solve().best.frames]
        ask_each(session, clock, inside, str(rng.choice([p for p in paths if p not in inside])), rng)


def ask_each(session: Session, clock: Clock, inside: list[str], newcomer: str, rng: np.random.Generator) -> None:
    """Ask one question of each kind."""
    leaver, slot = str(rng.choice(inside)), int(rng.integers(1, len(inside) + 1))
    weight, factor = str(rng.choice(WEIGHTS)), float(rng.choice([0.75, 1.25]))
    now = getattr(session.brief.weights, weight)
    changed(session, clock, "pin", lambda: session.pin(newcomer))
    changed(session, clock, "bar", lambda: session.bar(leaver))
    changed(session, clock, "reweigh", lambda: session.reweigh(**{weight: now * factor}))
    changed(session, clock, "clash", lambda: too_many(session, rng))
    clock.time("first swap", lambda: next(session.swaps(slot, 10)))
    session.reweigh(quality=session.brief.weights.quality + 1e-6)  # what was asked a moment ago would cost nothing
    session.solve()
    clock.time("ten swaps", lambda: list(session.swaps(slot, 10)))
    clock.time("all prices", lambda: session.outcome(alternates=0, prices=True))
    session.undo()


def correct(session: Session, clock: Clock, changes: int, turns: int, seed: int) -> None:
    """Say something of frames of the set, so often each: stars, then scales, then turns."""
    rng = np.random.default_rng(seed)
    paths = [str(path) for path in rng.permutation([frame.path for frame in session.solve().best.frames])]
    for path in paths[:changes]:
        changed(session, clock, "rate", partial(session.rate, path, int(rng.integers(0, 6))), undone="undo rate")
    for path in paths[:changes]:
        scale = str(rng.choice(["wide", "medium", "close"]))
        changed(session, clock, "rescale", partial(session.rescale, path, scale), undone="undo rescale")
    for at, path in enumerate(paths[:turns]):  # after which a frame has the photograph's own time, as any file has
        clock.time("other turn" if at else "first turn", partial(turned, session, path, 180))
    for path in paths[:turns]:
        changed(session, clock, "turn", partial(session.turn, path, 90), undone="undo turn")


def turned(session: Session, path: str, degrees: int) -> Outcome:
    """Say how a frame is turned, and solve."""
    session.turn(path, degrees)
    return session.solve()


@contextmanager
def kept(snapshot: Snapshot) -> Iterator[Path]:
    """Write made-up frames into the index of a folder of links to one photograph, with looks drawn at random."""
    with tempfile.TemporaryDirectory() as home:
        yield fill(Path(home), snapshot)


def changed(session: Session, clock: Clock, kind: str, change: Callable[[], None], undone: str | None = None) -> None:
    """Make a change and solve, then take it back; undone : as what that is timed, with its answer."""

    def ask() -> Outcome:
        change()
        return session.solve()

    clock.time(kind, ask)
    if undone is None:
        session.undo()
        return

    def back() -> Outcome:
        session.undo()
        return session.solve()

    clock.time(undone, back)


def too_many(session: Session, rng: np.random.Generator) -> None:
    """Leave one frame that can play a role of which two are wanted."""
    problem, names = session.assembly.problem, session.brief.role_names
    role = int(rng.integers(0, len(names)))
    able = np.unique(problem.frame[~np.isnan(problem.gain[:, role])])
    kept = int(rng.choice(able))
    roles = {name: wish.model_dump() for name, wish in session.brief.roles.items()}
    roles[names[role]] = {"count": (2, session.brief.size), "match": f"path:{session.snapshot.frames[kept].path}"}
    session.change(roles=roles)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--frames", type=int, default=5000)
    parser.add_argument("--size", type=int, default=None)
    parser.add_argument("--seeds", type=int, default=2)
    parser.add_argument("--changes", type=int, default=6)
    parser.add_argument("--turns", type=int, default=0, help="frames that are turned as well")
    parser.add_argument("--brief", default="wall-nine")
    given = parser.parse_args()
    make_ready()
    make_ready("clash")
    brief = load_brief(given.brief)
    clock = Clock()
    print(f"load {os.getloadavg()[0]:.1f} at the start")
    for seed in range(given.seeds):
        snapshot = make_random_snapshot(given.frames, seed)
        with Session(snapshot, brief, effort=Effort(seed=seed)) as session:
            run(session, clock, given.changes, np.random.default_rng(seed))
        with kept(snapshot) as folder, Catalog.open(folder).session(brief, effort=Effort(seed=seed)) as session:
            session.solve()
            correct(session, clock, given.changes, given.turns, seed)
    print("| question | asked | median s | worst s | median cpu s | worst cpu s |")
    print("|---|---|---|---|---|---|")
    for kind, taken in clock.taken.items():
        wall, cpu = np.array(taken).T
        print(
            f"| {kind} | {len(taken)} | {np.median(wall):.2f} | {wall.max():.2f} "
            f"| {np.median(cpu):.2f} | {cpu.max():.2f} |"
        )
    print(f"load {os.getloadavg()[0]:.1f} at the end")


if __name__ == "__main__":
    main()

"""How soon the board answers its page: every act and question, from the call to the document that is sent.

usage: python benchmarks/board.py FOLDER [--frames F] [--brief NAME] [--rounds R]

FOLDER is a scanned catalog, which is copied first: nothing in it changes. With --frames the board's session gets that
many made-up frames instead (measures drawn at random by the builders of the tests, which look like a shoot's), and what
needs files (pictures, stars, turns) is left out. Each act is taken back before the next. Prints median, 95th percentile
and worst in milliseconds of the wall clock, and the bytes of what a page loads first.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from setsolver.solver.ready import make_ready
from setsolver.usecases.board import Board
from setsolver.usecases.board_acts import read_act
from setsolver.usecases.session import Session
from tests.rules.builders import make_random_snapshot


def main() -> None:
    """Time a board and print the table."""
    given = arguments()
    make_ready()
    with tempfile.TemporaryDirectory() as home:
        folder = shutil.copytree(given.folder, Path(home) / "catalog")
        board = Board(folder, given.brief)
        if given.frames:
            board.session = Session(make_random_snapshot(given.frames, seed=1), board.session.brief)
            board._look_up()  # noqa: SLF001 - made-up frames have no folder to be opened from
            board._outcome = board.session.solve()  # noqa: SLF001
        times: dict[str, list[float]] = {}
        for _ in range(given.rounds):
            ask_all(board, times, files=not given.frames)
        first = {"board": board.view(), "frames": board.frames()}
    print(f"{len(board.session.snapshot.frames):,} frames, brief {given.brief}, load {os.getloadavg()[0]:.1f}")
    print("| asked | median ms | 95 % ms | worst ms |\n| --- | --- | --- | --- |")
    for kind, taken in times.items():
        median, high, worst = 1000 * np.percentile(taken, [50, 95, 100])
        print(f"| {kind} | {median:.0f} | {high:.0f} | {worst:.0f} |")
    for name, document in first.items():
        print(f"{name}: {len(json.dumps(document, separators=(',', ':'))):,} bytes")


def arguments() -> argparse.Namespace:
    """Return the command line's."""
    parser = argparse.ArgumentParser(description="How soon the board answers its page.")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--frames", type=int, default=0)
    parser.add_argument("--brief", default="wall-three")
    parser.add_argument("--rounds", type=int, default=8)
    return parser.parse_args()


def ask_all(board: Board, times: dict[str, list[float]], *, files: bool) -> None:
    """Ask and do one of each kind."""

    def timed(kind: str, ask: Callable[[], Any]) -> Any:
        start = time.perf_counter()
        answer = ask()
        times.setdefault(kind, []).append(time.perf_counter() - start)
        return answer

    def done(kind: str, **what: Any) -> None:
        revision = board.revision
        timed(kind, lambda: board.do(read_act(json.dumps(what).encode())))
        if board.revision != revision:
            timed("undo" if kind not in ("stars", "turn") else f"undo {kind}", lambda: board.do(undo))

    undo = read_act(b'{"do":"undo"}')
    at = len(times.get("view", []))
    view = timed("view", board.view)
    prints = view["set"]["prints"]
    key = prints[at % len(prints)]["frame"]
    weight = view["weights"][0]
    done("weigh", do="weigh", term=weight["term"], points=weight["points"] + 1 + at)
    swaps = timed("ten swaps, exact", lambda: board.swaps(key, proven=False))["swaps"]
    timed("ten swaps, proven", lambda: board.swaps(key, proven=True))
    done("put", do="put", frame=swaps[at % len(swaps)]["frame"], instead=key, others="stay")
    done("pin", do="pin", frame=swaps[at % len(swaps)]["frame"])
    done("bar", do="bar", frame=key)
    timed("why", lambda: board.why(swaps[at % len(swaps)]["frame"]))
    timed("next best sets", board.alternates)
    timed("frames", board.frames)
    if files:
        done("stars", do="rate", frame=key, stars=1 + at % 5)
        timed("print picture", lambda: board.print_jpeg(swaps[at % len(swaps)]["picture"], 640, corrected=True))
        timed("frame picture", lambda: board.frame_jpeg(swaps[at % len(swaps)]["frame"], 240))
    if files and at == 0:
        done("turn", do="turn", frame=key)


if __name__ == "__main__":
    main()

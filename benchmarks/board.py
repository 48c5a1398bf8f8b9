"""How soon the board answers its page: every act and question, from the call to the document that is sent.

usage: python benchmarks/board.py [FOLDER] [--frames F] [--brief NAME] [--rounds R] [--page] [--tray ROWS]

FOLDER is a scanned catalog, which is copied first: nothing in it changes. With --frames the board opens a folder of
that many links to one photograph instead, whose index holds made-up measures (drawn at random by the builders of the
tests, which look like a shoot's); FOLDER is not needed then. Each act is taken back before the next. Prints median,
95th percentile and worst in milliseconds of the wall clock, the processor's own milliseconds (median; the worker that
measures a turned frame is a process of its own), least and 95th percentile besides, and the bytes of what a page loads
first. A turn is answered twice: at once by what is known of the frame, which is said to be measured still, and as it is
measured; "first" is the first after the board opened, which loads the networks beforehand, and waited for that as a
person's first look does (LOOK seconds). With --page, Chromium opens it: how soon the first picture stands, and how many
frames a second the tray draws while it scrolls; with --tray, how it does so with that many rows, which are the
catalog's over and over.
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

from benchmarks.board_page import look_at, look_at_tray
from setsolver.domain.brief import CropWish
from setsolver.solver.ready import make_ready
from setsolver.usecases.board import Board
from setsolver.usecases.board.acts import read_act
from setsolver.usecases.remeasure import prepare
from tests.rules.builders import make_random_snapshot
from tests.usecases.made_up import fill

UNDO = read_act(b'{"do":"undo"}')
LOOK = 5.0
Times = dict[str, list[tuple[float, float]]]


def main() -> None:
    """Time a board and print the table."""
    given = arguments()
    make_ready()
    with tempfile.TemporaryDirectory() as home:
        folder = Path(home) / "catalog"
        if given.frames:
            folder.mkdir()
            fill(folder, make_random_snapshot(given.frames, seed=1))
        else:
            shutil.copytree(given.folder, folder)
        board = Board(folder, given.brief, out=Path(home) / "prints")
        prepare()
        opened = time.perf_counter()
        times: Times = {}
        for _ in range(given.rounds):
            ask_all(board, times)
            time.sleep(max(0.0, opened + LOOK - time.perf_counter()))
            turn(board, times)
        first = {"board": board.view(), "frames": board.frames()}
        print(f"{len(board.session.snapshot.frames):,} frames, brief {given.brief}, load {os.getloadavg()[0]:.1f}")
        print_table(times)
        for name, document in first.items():
            print(f"{name}: {len(json.dumps(document, separators=(',', ':'))):,} bytes")
        if given.page:
            look_at(board)
        if given.tray:
            look_at_tray(board, given.tray)
        board.close()


def arguments() -> argparse.Namespace:
    """Return the command line's."""
    parser = argparse.ArgumentParser(description="How soon the board answers its page.")
    parser.add_argument("folder", type=Path, nargs="?")
    parser.add_argument("--frames", type=int, default=0)
    parser.add_argument("--brief", default="wall-three")
    parser.add_argument("--rounds", type=int, default=8)
    parser.add_argument("--page", action="store_true")
    parser.add_argument("--tray", type=int, default=0)
    given = parser.parse_args()
    if given.folder is None and not given.frames:
        parser.error("name a scanned folder, or give --frames")
    return given


def print_table(times: Times) -> None:
    """Print what was asked, with its times."""
    print("| asked | least ms | median ms | 95 % ms | worst ms | processor ms |\n| --- | --- | --- | --- | --- | --- |")
    for kind, taken in times.items():
        walls, own = zip(*taken, strict=True)
        parts = " | ".join(f"{1000 * one:.0f}" for one in np.percentile(walls, [0, 50, 95, 100]))
        print(f"| {kind} | {parts} | {1000 * np.median(own):.0f} |")


def ask_all(board: Board, times: Times) -> None:
    """Ask and do one of each kind."""

    def timed(kind: str, ask: Callable[[], Any]) -> Any:
        start, own = time.perf_counter(), time.process_time()
        answer = ask()
        times.setdefault(kind, []).append((time.perf_counter() - start, time.process_time() - own))
        return answer

    def done(kind: str, **what: Any) -> None:
        revision, known = board.revision, board.frames()["list"]
        timed(kind, lambda: board.do(read_act(json.dumps(what).encode())))
        if board.revision != revision:
            own = kind in ("stars", "scale")
            if own:  # a page shows the set, then asks which frames of its tray differ
                timed("what of the tray differs", lambda: board.frames(known))
            timed(f"undo {kind}" if own else "undo", lambda: board.do(UNDO))

    at = len(times.get("the board", []))
    view = timed("the board", board.view)
    prints = view["set"]["prints"]
    key = prints[at % len(prints)]["frame"]
    weight = view["weights"][0]
    done("another weight", do="weigh", term=weight["term"], points=weight["points"] + 1 + at)
    done("another reach", do="change", key="tone.reach.mid", value=25 - at)
    done("another layout", do="change", key="layout.gap_cm", value=7 + at)
    swaps = timed("ten swaps, exact", lambda: board.swaps(key, proven=False))["swaps"]
    timed("ten swaps, each with the best set around it, proven", lambda: board.swaps(key, proven=True))
    done("put a swap in", do="put", frame=swaps[at % len(swaps)]["frame"], instead=key, others="stay")
    done("pin", do="pin", frame=swaps[at % len(swaps)]["frame"])
    done("pin to a slot", do="pin", frame=key, slot=prints[at % len(prints)]["slot"])
    done("bar", do="bar", frame=key)
    done("crop", do="crop", frame=key, x=0.5, y=0.5, share=0.97 - at / 400, level=0)
    timed("what a crop would be", lambda: board.framing(key, read_wish(at)))
    timed("why", lambda: board.why(swaps[at % len(swaps)]["frame"]))
    anew = {"do": "weigh", "term": weight["term"], "points": weight["points"] + (1 + at) / 1000}
    board.do(read_act(json.dumps(anew).encode()))  # of a brief whose further sets nobody has asked for yet
    timed("next best sets", board.alternates)
    board.do(UNDO)
    timed("what holds the set back", board.holds)
    timed("what all frames would earn", board.earnings)
    timed("what every weight costs", board.prices)
    timed("all frames", board.frames)
    done("stars", do="rate", frame=key, stars=1 + at % 5)
    done("scale", do="rescale", frame=key, scale=("wide", "medium", "close")[at % 3])
    timed("a print, 640 pixels", lambda: board.print_jpeg(swaps[at % len(swaps)]["picture"], 640, corrected=True))
    timed("a frame, 240 pixels", lambda: board.frame_jpeg(swaps[at % len(swaps)]["frame"], 240))


def turn(board: Board, times: Times) -> None:
    """Turn a print, wait until it is measured so, and take it back."""
    at = len(times.get("turn", [])) + len(times.get("first turn", []))
    prints = board.view()["set"]["prints"]
    what = read_act(json.dumps({"do": "turn", "frame": prints[at % len(prints)]["frame"]}).encode())
    kind = "turn" if at else "first turn"
    start, own = time.perf_counter(), time.process_time()
    board.do(what)
    times.setdefault(kind, []).append((time.perf_counter() - start, time.process_time() - own))
    board.settling.wait()
    times.setdefault(f"{kind}, as measured", []).append((time.perf_counter() - start, time.process_time() - own))
    start, own = time.perf_counter(), time.process_time()
    board.do(UNDO)
    times.setdefault(f"undo {kind}", []).append((time.perf_counter() - start, time.process_time() - own))


def read_wish(at: int) -> CropWish:
    """Return a crop to ask about."""
    return CropWish(x=0.5, y=0.5, share=0.9 - at / 100, level=0.5)


if __name__ == "__main__":
    main()

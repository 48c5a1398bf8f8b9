"""Albums: how long, how far from the bound, and how far beyond a book made chapter by chapter.

Made-up events of 200 to 6,000 frames and 10 to 60 spreads; and many small events on a local cluster of two workers,
with what each adds to time and memory. Prints Markdown rows.
"""

from __future__ import annotations

import argparse
import resource
import sys
import time
from pathlib import Path

import numpy as np
from album_events import made_up

from setsolver.domain.book_rules import broken_book
from setsolver.solver.book import solve_book
from setsolver.solver.ready import make_ready
from setsolver.usecases.many import run_many

SIZES = ((200, 10), (500, 20), (1000, 20), (2000, 40), (6000, 60))
SMALL = 24, 3


def processor() -> float:
    """Return processor seconds of this process so far."""
    used = resource.getrusage(resource.RUSAGE_SELF)
    return used.ru_utime + used.ru_stime


def sizes(limit: float, seeds: int, most: int) -> None:
    """Print a row for each size and seed."""
    print("| frames / spreads, seed | wall (cpu) s | spreads proven | chapter by chapter | album | bound | gap |")
    print("| --- | --- | --- | --- | --- | --- | --- |")
    make_ready()
    for frames, spreads in SIZES:
        for seed in range(seeds):
            if frames > most:
                continue
            book = made_up(frames, spreads, seed)
            wall, used = time.perf_counter(), processor()
            found = solve_book(book, time_limit=limit, workers=2)
            wall, used = time.perf_counter() - wall, processor() - used
            assert not found.spreads or broken_book(book, found.spreads) == []
            greedy = "dead end" if found.greedy is None else f"{found.greedy:.1f}"
            share = 100 * found.gap / found.score if found.spreads else np.nan
            print(
                f"| {frames} / {spreads}, {seed} | {wall:.1f} ({used:.1f}) | {found.columns} | {greedy} | "
                f"{found.score:.1f} | {found.bound:.1f} | {share:.2f} % |",
                flush=True,
            )


def small_book(seed: int) -> float:
    """Return the points of the album of a small made-up event; run by a worker."""
    return solve_book(made_up(*SMALL, seed), time_limit=60, workers=1).score


def megabytes() -> float:
    """Return the memory of this process (Linux)."""
    lines = Path("/proc/self/status").read_text(encoding="ascii").splitlines()
    return next(int(line.split()[1]) / 1000 for line in lines if line.startswith("VmRSS"))


def many(count: int) -> None:
    """Print how time and memory grow with events on a local cluster of two workers."""
    from dask.distributed import Client, LocalCluster  # noqa: PLC0415 - an extra

    print("| events | wall s | s an event | client MB | workers MB |")
    print("| --- | --- | --- | --- | --- |")
    folder = str(Path(__file__).parent)
    cluster = LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None)
    with cluster, Client(cluster) as client:
        client.run(sys.path.insert, 0, folder)
        list(run_many(small_book, range(4), cluster=cluster.scheduler_address))  # compiles on both
        begun = time.perf_counter()
        for done, answer in enumerate(run_many(small_book, range(count), cluster=cluster.scheduler_address), start=1):
            assert answer.result is not None, answer.why
            if done % max(1, count // 5) == 0:
                wall = time.perf_counter() - begun
                held = "+".join(f"{one:.0f}" for one in client.run(megabytes).values())
                print(f"| {done} | {wall:.0f} | {wall / done:.2f} | {megabytes():.0f} | {held} |", flush=True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--limit", type=float, default=60.0, help="seconds for each album")
    parser.add_argument("--seeds", type=int, default=1)
    parser.add_argument("--most", type=int, default=1000, help="frames of the largest event; --full for all")
    parser.add_argument("--full", action="store_true")
    parser.add_argument("--events", type=int, default=0, help="instead: so many small events on a local cluster")
    given = parser.parse_args()
    if given.events:
        many(given.events)
        return
    sizes(given.limit, given.seeds, 10**9 if given.full else given.most)


if __name__ == "__main__":
    main()

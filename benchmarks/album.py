"""Albums: how long, how far from the bound, and how far beyond a book made chapter by chapter.

Made-up events of 200 to 6,000 frames and 10 to 60 spreads; and many small events, their albums made whole from catalogs
on the disk, on a local cluster of two workers, with what each adds to time and memory. Prints Markdown rows.
"""

from __future__ import annotations

import argparse
import resource
import shutil
import time
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from album_events import made_up

from setsolver.domain.book_rules import broken_book
from setsolver.solver.book import solve_book
from setsolver.solver.ready import make_ready
from setsolver.usecases.album_batch import Event, Told, make_albums
from setsolver.usecases.briefs import load_brief
from setsolver.usecases.scan import scan

SIZES = ((200, 10), (500, 20), (1000, 20), (2000, 40), (6000, 60))
SHOOTS, FRAMES = 7, 5
"""Catalogs of the simulated events, and frames of each."""
ASKED = {"spreads": (1, 2), "density": (1, 3), "opening": {}, "kinds": ("single", "quiet", "page")}


def processor() -> float:
    """Return processor seconds of this process so far."""
    used = resource.getrusage(resource.RUSAGE_SELF)
    return used.ru_utime + used.ru_stime


def sizes(work: float, limit: float, seeds: int, most: int) -> None:
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
            found = solve_book(book, time_limit=limit, work=work, workers=2)
            wall, used = time.perf_counter() - wall, processor() - used
            assert not found.spreads or broken_book(book, found.spreads) == []
            greedy = "dead end" if found.greedy is None else f"{found.greedy:.1f}"
            share = 100 * found.gap / found.score if found.spreads else np.nan
            hurried = ", ended by time" if found.hurried else ""
            print(
                f"| {frames} / {spreads}, {seed} | {wall:.1f} ({used:.1f}) | {found.columns} | {greedy} | "
                f"{found.score:.1f} | {found.bound:.1f} | {share:.2f} %{hurried} |",
                flush=True,
            )


def megabytes() -> float:
    """Return the memory of this process (Linux)."""
    lines = Path("/proc/self/status").read_text(encoding="ascii").splitlines()
    return next(int(line.split()[1]) / 1000 for line in lines if line.startswith("VmRSS"))


def shoots(folder: Path) -> list[Path]:
    """Return catalogs of a dozen frames of the demo each, measured: what the events are events of."""
    files = sorted((Path(__file__).parent.parent / "demo_catalog").glob("*/*.jpg"))
    made = []
    for number in range(SHOOTS):
        own = folder / f"shoot-{number}"
        own.mkdir()
        for file in files[number * FRAMES : (number + 1) * FRAMES]:
            shutil.copyfile(file, own / file.name)
        scan(own, workers=2)
        made.append(own)
    return made


def events(folder: Path, count: int, printed: int) -> Iterator[Event]:
    """Yield events, each with a seed of its own; every ``printed``-th with pages, others with the document."""
    brief = load_brief("place-album")
    wish = type(brief.album).model_validate({**brief.album.model_dump(), **ASKED})
    asked = brief.model_copy(update={"album": wish}).model_dump_json()
    of = shoots(folder)
    for number in range(count):
        yield Event(
            name=f"event-{number:05d}",
            folder=of[number % len(of)],
            out=folder / "books",
            brief=asked,
            chapter=None,
            ppi=100,
            profile=None,
            pages=number % printed == 0,
            time_limit=600,
            seed=number,
            work=0.05,
        )


def many(count: int, printed: int) -> None:
    """Print how time and memory grow with events on a local cluster of two workers."""
    from dask.distributed import Client, LocalCluster  # noqa: PLC0415 - an extra

    print("| events | wall s | cpu s an event | client MB | workers MB |")
    print("| --- | --- | --- | --- | --- |")
    with (
        TemporaryDirectory() as folder,
        LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster,
        Client(cluster) as client,
    ):
        begun, done, failed = time.perf_counter(), 0, 0
        before = {}

        def tell(told: Told) -> None:
            nonlocal begun, done, failed, before
            done += 1
            failed += told.spreads == 0
            if done == 2 * SHOOTS:  # both workers are warm
                begun, before = time.perf_counter(), client.run(processor)
            if done % max(1, count // 5) == 0:
                used = sum(client.run(processor).values()) - sum(before.values())
                held = " + ".join(f"{one:.0f}" for one in client.run(megabytes).values())
                each = used / max(1, done - 2 * SHOOTS)
                wall = time.perf_counter() - begun
                print(f"| {done} | {wall:.0f} | {each:.2f} | {megabytes():.0f} | {held} |", flush=True)

        asked, out = list(events(Path(folder), count, printed)), Path(folder) / "books"
        report = make_albums(asked, out, cluster=cluster.scheduler_address, progress=tell)
        print(f"\n{report.made} made, {report.failed} without a book", flush=True)
        again = time.perf_counter()
        kept = make_albums(asked, out, cluster=cluster.scheduler_address)
        print(f"asked again: {kept.kept} kept, {kept.made} made in {time.perf_counter() - again:.0f} s", flush=True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--work", type=float, default=1.0, help="as `setsolver album --work`")
    parser.add_argument("--limit", type=float, default=3600.0, help="seconds for each album")
    parser.add_argument("--seeds", type=int, default=1)
    parser.add_argument("--most", type=int, default=1000, help="frames of the largest event; --full for all")
    parser.add_argument("--full", action="store_true")
    parser.add_argument("--events", type=int, default=0, help="instead: so many small events on a local cluster")
    parser.add_argument("--printed", type=int, default=50, help="of which every so many with pages, at 100 ppi")
    given = parser.parse_args()
    if given.events:
        many(given.events, given.printed)
        return
    sizes(given.work, given.limit, given.seeds, 10**9 if given.full else given.most)


if __name__ == "__main__":
    main()

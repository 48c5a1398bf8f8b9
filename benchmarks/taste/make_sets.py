"""Make the sets that judges compare: the tool's own, sets picked by eye, greedy ones and random ones.

    python benchmarks/taste/make_sets.py SHOOTS OUT.csv [--maker NAME] [--picks PICKS.csv ...] [--rivals] [--seed N]

SHOOTS holds a folder of photographs for each shoot; an index is made in each (`.setsolver`). The tool makes three
squares for a wall by its brief `wall-three` and five prints of 3 : 2 by `story-eight`; where no set exists, it is said
and there is none. PICKS.csv has sets picked by eye: shoot, kind (three or five), maker, place, photograph; what the
tool would not print is said. ``--rivals`` adds *greedy*, the best technical quality of each shot scale in turn, no
moment twice, and *random*, frames of the scales in turn, drawn by a seed. All but the tool's own sets have the crop
that the tool would give the frame by itself. Photographs are only read.
"""

from __future__ import annotations

import argparse
import csv
import sys
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from judged_sets import ASPECTS, KINDS, Crop, Print, write

from setsolver.api import Catalog
from setsolver.domain.brief import Brief
from setsolver.domain.measures import SCALES
from setsolver.rules import Assembly
from setsolver.usecases.briefs import load_brief
from setsolver.usecases.session import Session

BRIEFS = {"three": "wall-three", "five": "story-eight"}
LEAST_PPI = 30
"""Pixels per inch: photographs of judged shoots are kept at 1,280 pixels, and judges see them small."""
IN_TURN = ("wide", "medium", "close", "medium", "wide")


def brief_of(kind: str) -> Brief:
    """The brief of a kind of set, for small photographs."""
    wanted = load_brief(BRIEFS[kind])
    return wanted.model_copy(update={"size": KINDS[kind], "aspect": ASPECTS[kind], "min_ppi": LEAST_PPI})


def own(shoot: str, kind: str, maker: str, session: Session) -> list[Print]:
    """The tool's set, nothing where there is none."""
    best = session.solve().best
    if best is None:
        print(f"{shoot}: no set of {kind}", file=sys.stderr)
        return []
    return [
        Print(shoot, kind, maker, place, Path(one.path).stem, *Crop(*one.crop, one.level_degrees))
        for place, one in enumerate(best.frames, 1)
    ]


def crops(assembly: Assembly) -> dict[int, Crop]:
    """The crop of most points of each frame, by its place in the catalog."""
    points = np.nan_to_num(assembly.problem.gain, neginf=-1e9).max(axis=1)
    found: dict[int, Crop] = {}
    for row in np.argsort(points, kind="stable"):  # the best comes last and stays
        rendition = assembly.renditions[int(row)]
        found[rendition.frame.id] = Crop(*rendition.crop, rendition.level)
    return found


def by_quality(session: Session, within: set[int], count: int, draw: np.random.Generator | None) -> list[int]:
    """Frames of the scales in turn, the best technical quality first or by chance, no moment twice: their ids."""
    frames = [frame for frame in session.snapshot.frames if frame.id in within]
    order = np.argsort([-frame.measures.quality for frame in frames], kind="stable")
    order = order if draw is None else draw.permutation(len(frames))
    left, chosen, moments = [frames[k] for k in order], [], set()
    for scale in IN_TURN[:count]:
        fresh = [frame for frame in left if frame.moment < 0 or frame.moment not in moments]
        of_scale = [frame for frame in fresh if SCALES[int(np.argmax(frame.odds))] == scale]
        taken = next(iter(of_scale or fresh or left), None)
        if taken is None:
            return []
        left.remove(taken)
        chosen.append(taken.id)
        moments.add(taken.moment)
    return chosen


def picked(paths: list[Path]) -> dict[tuple[str, str], list[tuple[str, int, str]]]:
    """Maker, place and photograph of sets picked by eye, by shoot and kind."""
    found = defaultdict(list)
    for path in paths:
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                found[row["shoot"], row["kind"]].append((row["maker"], int(row["place"]), row["photograph"]))
    return found


def sets_of(folder: Path, asked: argparse.Namespace, picks: dict, draw: np.random.Generator) -> Iterator[Print]:
    catalog, shoot = Catalog.open(folder), folder.name
    catalog.scan()
    for kind, count in KINDS.items():
        session = catalog.session(brief_of(kind))
        cut = crops(session.assembly)
        number = {Path(frame.path).stem: frame.id for frame in session.snapshot.frames}
        yield from own(shoot, kind, asked.maker, session)
        others = list(picks.get((shoot, kind), []))
        if asked.rivals:
            stem = {frame: name for name, frame in number.items()}
            for maker, chance in (("greedy", None), ("random", draw)):
                chosen = by_quality(session, set(cut), count, chance)
                others += [(maker, place, stem[frame]) for place, frame in enumerate(chosen, 1)]
        for maker, place, name in others:
            crop = cut.get(number.get(name, -1))
            if crop is None:
                print(
                    f"{shoot}: {name}, picked by {maker}, is not among the frames that can be printed", file=sys.stderr
                )
            else:
                yield Print(shoot, kind, maker, place, name, *crop)


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("shoots", type=Path)
    options.add_argument("out", type=Path)
    options.add_argument("--maker", default="new")
    options.add_argument("--picks", type=Path, nargs="*", default=[])
    options.add_argument("--rivals", action="store_true")
    options.add_argument("--seed", type=int, default=1)
    asked = options.parse_args()
    if asked.out.exists():
        raise SystemExit(f"{asked.out} is there already; name another file")
    picks, draw = picked(asked.picks), np.random.default_rng(asked.seed)
    prints = []
    for folder in sorted(path for path in asked.shoots.iterdir() if path.is_dir() and not path.name.startswith(".")):
        made = list(sets_of(folder, asked, picks, draw))
        prints += made
        print(f"{folder.name}: {len({one.whose for one in made})} sets", flush=True)
    write(asked.out, prints)


if __name__ == "__main__":
    main()

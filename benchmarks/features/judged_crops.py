"""How the marks of crops agree with crops and frames judged by eye.

    python benchmarks/features/judged_crops.py FOLDER...

The folders hold the photographs that ``judged_crops.csv`` and ``cut.csv`` beside this file name (``ID.jpg``, at any
depth); those that are not there are passed over. The first table tells how often the worth by which crops are placed,
or one of its marks alone, picks one of the best of the crops judged, and one that is spoilt, CLIP left out of it. The
second tells what the rule of composition says of the edges of whole frames that readers call cut, all networks asked.
"""

from __future__ import annotations

import argparse
import csv
from collections import defaultdict
from collections.abc import Collection
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import cv2
import numpy as np

from setsolver.catalog.reader import read
from setsolver.crops.columns import stack_frames
from setsolver.crops.framing import Framing, judge, scenery_of
from setsolver.crops.placing import WORTH, worth
from setsolver.domain.frame import Frame
from setsolver.domain.geometry import WHOLE
from setsolver.domain.measures import Measures
from setsolver.domain.origin import later, origins
from setsolver.features.measure import measure
from setsolver.features.models import Models
from setsolver.rules.chosen import Member
from setsolver.rules.composition import BLAME, CUT_FACE, CUT_PERSON, PRAISE, Composition

HERE = Path(__file__).parent
SAID = (PRAISE["edges"], CUT_FACE, CUT_PERSON, BLAME["edges"])


def rows_of(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(row for row in file if not row.startswith("#")))


def measured(folders: list[Path], wanted: set[str], names: Collection[str] | None = None) -> dict[str, Frame]:
    """Return the photographs that are there; names : of what is measured, None = everything."""
    models, frames = Models.load(), {}
    for file in (file for folder in folders for file in sorted(folder.rglob("*.jpg")) if file.stem in wanted):
        reading = read(file)
        found = measure(reading.rgb, models=models, names=names)
        frames[file.stem] = Frame(0, file.stem, reading.width, reading.height, 1, reading.shot, found)
    return frames


def marks_of(frame: Frame, level: float, boxes: np.ndarray) -> tuple[Framing, np.ndarray]:
    columns = stack_frames([frame])
    marks = judge(scenery_of(columns, np.array([level])), boxes[None])
    return marks, worth(marks, columns.sure, columns.mapped)


def crops(frames: dict[str, Frame]) -> None:
    groups = defaultdict(list)
    for row in rows_of("judged_crops.csv"):
        if row["photograph"] in frames:
            groups[row["photograph"], row["aspect"], row["level"]].append(row)
    picks: dict[str, list[tuple[float, float]]] = defaultdict(list)
    for (name, _, level), group in groups.items():
        boxes = np.array([[float(row[k]) for k in "xywh"] for row in group])
        score = np.array([int(row["score"]) for row in group])
        marks, value = marks_of(frames[name], float(level), boxes)
        values = {"worth": value[0], "centre": -marks.shift[0]}
        values |= {mark: getattr(marks, mark)[0] - 1e-3 * marks.shift[0] for mark in WORTH if mark != "shift"}
        for how, value in values.items():
            taken = score[int(value.argmax())]
            picks[how].append((taken == score.max(), taken == 0))
        picks["any, by chance"].append(((score == score.max()).mean(), (score == 0).mean()))
    print(f"{len(groups)} photographs\n| picked by | one of the best | spoilt |\n| --- | --- | --- |")
    for how, pairs in picks.items():
        best, spoilt = np.mean(pairs, axis=0)
        print(f"| {how} | {best:.1%} | {spoilt:.1%} |")


def told_of_edges(frame: Frame) -> str:
    """Return what is said of the whole frame's edges: praise, a fault, or nothing."""
    marks, _ = marks_of(frame, 0.0, np.array([[0.0, 0.0, 1.0, 1.0]]))
    rendition = SimpleNamespace(frame=frame, level=0.0, level_cost=0.0, odds=frame.measures.odds, crop=WHOLE)
    member = SimpleNamespace(rendition=rendition, marks=Framing(*(mark[0] for mark in marks)).of(0), tilt=0.0)
    says = Composition().says(cast("Member", member))
    return next((words for words in SAID if words in says), "")


def cut(frames: dict[str, Frame]) -> None:
    read_as = {row["photograph"]: int(row["cut_a"]) + int(row["cut_b"]) for row in rows_of("cut.csv")}
    print(f"| both readers say | frames | {' | '.join(SAID)} |")
    print("| --- | --- |" + " --- |" * len(SAID))
    for words, want in (("cut", 2), ("not cut", 0)):
        said = [told_of_edges(frames[name]) for name, count in read_as.items() if count == want and name in frames]
        shares = (f"{said.count(one)} ({said.count(one) / len(said):.1%})" for one in SAID)
        print(f"| {words} | {len(said)} | {' | '.join(shares)} |")


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("folders", type=Path, nargs="+")
    cv2.setNumThreads(1)
    folders = options.parse_args().folders
    judged, read_as = ({row["photograph"] for row in rows_of(name)} for name in ("judged_crops.csv", "cut.csv"))
    crops(measured(folders, judged, origins(Measures).keys() - later(Measures)))
    cut(measured(folders, read_as))


if __name__ == "__main__":
    main()

"""How the marks of crops agree with crops and frames judged by eye.

    python benchmarks/features/judged_crops.py FOLDER...

The folders hold the photographs that ``judged_crops.csv`` and ``cut.csv`` beside this file name (``ID.jpg``, at any
depth); those that are not there are passed over. The first table tells how often the worth by which crops are placed,
or one of its marks alone, picks one of the best of the crops judged, and one that is spoilt. The second tells what the
words on edges say of whole frames that readers call cut.
"""

from __future__ import annotations

import argparse
import csv
from collections import defaultdict
from pathlib import Path

import cv2
import numpy as np

from setsolver.catalog.reader import read
from setsolver.crops.columns import stack_frames
from setsolver.crops.framing import Framing, judge, scenery_of
from setsolver.crops.placing import WORTH, worth
from setsolver.domain.frame import Frame
from setsolver.domain.measures import Measures
from setsolver.domain.origin import later, origins
from setsolver.features.measure import measure
from setsolver.features.models import Models
from setsolver.rules.composition import BAD, composition_marks

HERE = Path(__file__).parent


def rows_of(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(row for row in file if not row.startswith("#")))


def measured(folders: list[Path], wanted: set[str]) -> dict[str, Frame]:
    models, frames = Models.load(), {}
    quick = origins(Measures).keys() - later(Measures)
    for file in (file for folder in folders for file in sorted(folder.rglob("*.jpg")) if file.stem in wanted):
        reading = read(file)
        found = measure(reading.rgb, models=models, names=quick)
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


def cut(frames: dict[str, Frame]) -> None:
    read_as = {row["photograph"]: int(row["cut_a"]) + int(row["cut_b"]) for row in rows_of("cut.csv")}
    print("| both readers say | frames | said: free edges | a face is cut | something is cut |")
    print("| --- | --- | --- | --- | --- |")
    for words, want in (("cut", 2), ("not cut", 0)):
        said = []
        for name in (name for name, count in read_as.items() if count == want and name in frames):
            marks, _ = marks_of(frames[name], 0.0, np.array([[0.0, 0.0, 1.0, 1.0]]))
            one = Framing(*(mark[0] for mark in marks))
            edges = composition_marks(one, np.zeros(1), np.zeros(1), np.ones(1))["edges"][0]
            face = one.people[0] < BAD
            said.append((edges >= BAD and one.free[0] == 1, edges < BAD and face, edges < BAD and not face))
        free, face, other = np.mean(said, axis=0)
        print(f"| {words} | {len(said)} | {free:.1%} | {face:.1%} | {other:.1%} |")


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("folders", type=Path, nargs="+")
    cv2.setNumThreads(1)
    wanted = {row["photograph"] for name in ("judged_crops.csv", "cut.csv") for row in rows_of(name)}
    frames = measured(options.parse_args().folders, wanted)
    crops(frames)
    cut(frames)


if __name__ == "__main__":
    main()

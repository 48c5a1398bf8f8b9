"""The best crop of every aspect, drawn on its frame, to be judged by eye.

    python benchmarks/features/crops.py OUT FOLDER... [--every N] [--first N] [--tighter]

Writes contact sheets to OUT: a row a picture, first the frame with its subject (yellow, with its confidence), faces
(cyan, with where they look) and horizon (green), then the crops at 1:1, 4:5, 3:2, 2:3 and 16:9. A crop that the rules
take out (it would cut the subject or a face) is drawn in red. ``--tighter`` draws the tightest crop that the rules
allow in place of the largest.
"""

from __future__ import annotations

import argparse
from pathlib import Path

import cv2
import numpy as np
from sheets import Panel, save_sheets

from setsolver.catalog.reader import read
from setsolver.crops.renditions import CropTable
from setsolver.crops.warm_crops import cut_crops
from setsolver.domain.frame import Frame
from setsolver.domain.geometry import Box, parse_aspect
from setsolver.features.measure import measure
from setsolver.features.models import Models

ASPECTS = ("1:1", "4:5", "3:2", "2:3", "16:9")
SHOWN = 640


def frames_of(folders: list[Path], first: int, every: int) -> tuple[list[Frame], list[np.ndarray]]:
    models = Models.load()
    files = [file for folder in folders for file in sorted(folder.rglob("*.jpg"))[first::every]]
    frames, pictures = [], []
    for number, file in enumerate(files):
        reading = read(file)
        measures = measure(reading.rgb, models=models)
        size = (reading.width, reading.height)
        frames.append(Frame(number, file.stem, *size, file.stat().st_size, reading.shot, measures))
        pictures.append(cv2.resize(reading.rgb, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA))
    return frames, pictures


def whole(frame: Frame, rgb: np.ndarray) -> Panel:
    measures = frame.measures
    facing = " ".join(face.facing for face in measures.faces[:4])
    panel = Panel(rgb, f"{frame.path}  subject {measures.subject.confidence:.2f}  {facing}")
    panel.box(measures.subject.box, "yellow")
    for face in measures.faces:
        panel.box(face.box, "cyan", 1)
    if measures.tilt.degrees is not None and measures.tilt.horizon is not None:
        panel.line(measures.tilt.horizon, measures.tilt.degrees, "lime")
    return panel


def chosen(table: CropTable, *, tighter: bool) -> dict[int, int]:
    """Row of the crop to show for each frame: the largest one, or the tightest of those kept."""
    rows: dict[int, int] = {}
    for row, (frame, linear) in enumerate(zip(table.frame, table.linear, strict=True)):
        if linear == 1.0 or (tighter and table.keeps[row]):
            rows[int(frame)] = row
    return rows


def cropped(rgb: np.ndarray, table: CropTable, row: int, aspect: str) -> Panel:
    marks = table.marks
    told = f"{aspect}  kept {marks.kept[row]:.2f} air {marks.air[row]:.1f} edge {marks.edges[row]:.1f}"
    turned = f" turn {table.level[row]:.1f}" if table.level[row] else ""
    panel = Panel(rgb, told + turned)
    return panel.crop(Box(*table.box[row]), float(table.level[row]), "white" if table.keeps[row] else "red")


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("out", type=Path)
    options.add_argument("folders", type=Path, nargs="+")
    options.add_argument("--every", type=int, default=1)
    options.add_argument("--first", type=int, default=0, help="how many files to pass over before the first")
    options.add_argument("--tighter", action="store_true")
    asked = options.parse_args()
    cv2.setNumThreads(1)
    frames, pictures = frames_of(asked.folders, asked.first, asked.every)
    rows = [[whole(frame, rgb)] for frame, rgb in zip(frames, pictures, strict=True)]
    for aspect in ASPECTS:
        table = cut_crops(tuple(frames), [parse_aspect(aspect)])
        taken = chosen(table, tighter=asked.tighter)
        print(f"{aspect}: {sum(not table.keeps[row] for row in taken.values())} of {len(taken)} taken out")
        for number, row in taken.items():
            rows[number].append(cropped(pictures[number], table, row, aspect))
    save_sheets(asked.out, "crops", rows)


if __name__ == "__main__":
    main()

"""Fit what tells a horizon where CLIP has looked, and report it with whole sources left out.

    python benchmarks/features/fit_level.py PHOTOS SHOOTS [--write] [--keep FOLDER] [--sheets FOLDER]

PHOTOS is as in the README, SHOOTS holds photographs of whole shoots as OWNER+NAME/ID.jpg. Two things are fitted: the
heads that tell from CLIP's 14 x 14 places what lies above the horizon and which places it crosses, and the weights by
which lines compete. Sources are dealt into five folds; what is said of a fold rests on neither, and the lines that its
weights were fitted to were told apart by heads without their own fold and without this one. The confidence that is
asked for is chosen anew for every fold, by what fits without it say of the others (``level_bars.py``). ``--keep`` keeps
what the networks say; ``--write`` stores the heads in setsolver/models; bars and weights for
setsolver/features/horizon.py are printed.
"""

from __future__ import annotations

import argparse
import csv
from collections import Counter
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path

import cv2
import fit_ground
import numpy as np
from fit_tilt import Example, fit, is_near
from level_bars import BY_EYE, Answered, choose_bars
from photographs import labels, read
from PIL import Image, ImageOps
from place_heads import PlaceHeads, fit_place_heads
from sheets import Panel, save_sheets
from turns import TURNS, has_horizon, likely, read_by_eye, turned, turned_line

from setsolver.domain.measures import Tilt
from setsolver.features.attention import look
from setsolver.features.clip import clip_of
from setsolver.features.crossing import CROSSING_WEIGHTS, crossing_by_clip
from setsolver.features.ground import CLIP_WEIGHTS, GROUND_FILE, above_ground
from setsolver.features.horizon import MOST_LINES, WITH_CLIP, Judge, chosen_line, stated_tilt
from setsolver.features.horizon_cues import horizon_cues
from setsolver.features.lines import Line, edge_points, strongest_lines
from setsolver.features.models import Models
from setsolver.features.views import MIDDLE, make_views
from setsolver.scaling import shrunk

SHOOTS = Path(__file__).with_name("horizons_shoots.csv")
FOLDS, STIFFNESS = 5, 1e-4
FEW_TURNS = (-4.0, 2.5)
RECOVERED = 0.3


@dataclass
class Shot:
    """A photograph as it is or turned; truth: degrees and height (NaN = level things, no horizon), None = not read."""

    name: str
    source: str
    turn: float
    given: str
    reading: str
    truth: tuple[float, float] | None
    size: tuple[int, int]
    lab: np.ndarray
    lines: list[Line]
    odds: float
    places: np.ndarray
    close: bool
    fold: int = -1


def upright(path: Path) -> np.ndarray:
    with Image.open(path) as opened:
        return np.ascontiguousarray(ImageOps.exif_transpose(opened).convert("RGB"))


def wanted(photos: Path, shoots: Path) -> list[tuple[str, str, str, tuple[float, float] | None, bool, partial]]:
    """Name, source, reading, truth, whether a reader says close, and how to open it, of every photograph."""
    found, truth = [], read_by_eye()
    for name, row in labels(photos).items():
        has = has_horizon(row)
        reading = "none" if not has else "right" if name in truth else "unclear"
        close = "close" in {row["scale_a"], row["scale_b"]}
        found.append(
            (name, row["source"], reading, truth.get(name) if has else None, close, partial(read, photos, name))
        )
    with (photos / "shoots.csv").open(encoding="utf-8") as file:
        close_ups = {row["id"] for row in csv.DictReader(file) if "close" in {row["scale_a"], row["scale_b"]}}
    with SHOOTS.open(encoding="utf-8") as file:
        for row in csv.DictReader(line for line in file if not line.startswith("#")):
            path = shoots / row["source"].replace("/", "+") / f"{row['photograph']}.jpg"
            line = (float(row["degrees"]), float(row["height"] or "nan")) if row["reading"] == "right" else None
            if path.exists():
                found.append(
                    (
                        row["photograph"],
                        row["source"],
                        row["reading"],
                        line,
                        row["photograph"] in close_ups,
                        partial(upright, path),
                    )
                )
    return found


def said(keep: Path | None, key: str, rgb: np.ndarray, models: Models) -> tuple[np.ndarray, np.ndarray]:
    """CLIP's places and EfficientNet-Lite0's embedding."""
    file = keep / f"{key}.npz" if keep else None
    if file and file.exists():
        with np.load(file) as arrays:
            return arrays["places"], arrays["lite"]
    places = clip_of(rgb, models.clip).places.astype(np.float16)
    lite = look(shrunk(rgb, MIDDLE), models.embedding).embedding
    if file:
        np.savez(file, places=places, lite=lite)
    return places, lite


def shots(photos: Path, shoots: Path, keep: Path | None) -> list[Shot]:
    models, held_out, found = Models.load(), likely(), []
    for name, source, reading, truth, close, opened in wanted(photos, shoots):
        own, rgb = name in held_out, opened()
        turns = () if reading == "none" or (reading == "unclear" and not own) else TURNS if own else FEW_TURNS
        for turn in (0.0, *turns):
            picture = turned(rgb, turn) if turn else rgb
            places, lite = said(keep, f"{name}_{turn:+.1f}", picture, models)
            views = make_views(picture)
            points = edge_points(cv2.cvtColor(views.middle, cv2.COLOR_RGB2GRAY))
            odds = held_out[name] if own else float(models.horizon.odds(lite[None])[0, 1])
            line = turned_line(truth, rgb.shape, turn) if truth else None
            lab, lines = views.lab.astype(np.float16), strongest_lines(points, MOST_LINES)
            given, size = "the 442" if own else "shoots", (points.width, points.height)
            found.append(Shot(name, source, turn, given, reading, line, size, lab, lines, odds, places, close))
    return found


def deal(every: list[Shot]) -> None:
    """Deal whole sources into folds with about as many horizons each."""
    horizons = Counter(one.source for one in every if one.turn == 0 and one.reading == "right")
    frames, load = Counter(one.source for one in every), np.zeros(FOLDS)
    fold = {}
    for source in sorted(frames, key=lambda one: (-horizons[one], -frames[one], one)):
        fold[source] = int(load.argmin())
        load[fold[source]] += horizons[source] + 0.05 * frames[source]
    for one in every:
        one.fold = fold[one.source]


def cues_of(one: Shot, heads: PlaceHeads) -> np.ndarray:
    places = one.places.astype(np.float32)
    above, crossing = above_ground(places.transpose(2, 0, 1), heads.above), crossing_by_clip(places, heads.crossing)
    return horizon_cues(one.lines, one.lab.astype(np.float32), one.odds, above, crossing)


def example(one: Shot, heads: PlaceHeads) -> Example:
    cues = cues_of(one, heads)
    if not WITH_CLIP.waves:
        cues[[line.unsteady > WITH_CLIP.steady for line in one.lines]] = np.nan
    told = ~np.isnan(cues).any(axis=1)
    right = np.array([is_near(line, one.size[1], one.truth) for line in one.lines], bool)
    return Example(one.name, one.source, cues[told], right[told])


def chosen(shot: Shot, heads: PlaceHeads, judge: Judge) -> tuple[int | None, float]:
    if shot.odds < judge.least_odds:
        return None, 0.0
    return chosen_line(shot.lines, cues_of(shot, heads), judge)


class Fits:
    """Heads and weights without one fold or two, each made once; the cues of every shot by each pair of heads too."""

    def __init__(self, every: list[Shot]) -> None:
        self.every, self.heads = every, fit_place_heads(every, FOLDS)
        self.example = cache(lambda k, fold: example(every[k], self.heads[pair(every[k].fold, fold)]))

    def weights(self, fold: int | None, other: int | None = None) -> np.ndarray:
        """Fitted to all folds but these, to lines told apart by heads without their own fold and without the first."""
        known = [k for k, one in enumerate(self.every) if one.reading != "unclear" and one.fold not in (fold, other)]
        examples = [self.example(k, self.every[k].fold if fold is None else fold) for k in known]
        return fit(examples, STIFFNESS)

    def told(self, fold: int, heads_without: int, weights: np.ndarray) -> list[Answered]:
        """What is chosen in a fold, by heads without it and without another one."""
        heads, judge = self.heads[pair(fold, heads_without)], WITH_CLIP._replace(weights=weights)
        return [(one, chosen(one, heads, judge)) for one in self.every if one.fold == fold]


def pair(fold: int, other: int) -> tuple[int, int]:
    return min(fold, other), max(fold, other)


def answers(fits: Fits) -> tuple[dict[int, Tilt], Judge]:
    """What is said of every shot, by its id, by fits without its fold, and the judge chosen and fitted by all."""
    said_of, outer = {}, []
    for fold in range(FOLDS):
        inner = []
        for other in range(FOLDS):
            if other != fold:
                inner += fits.told(other, fold, fits.weights(fold, other))
        judge = choose_bars(inner, WITH_CLIP)
        print(f"fold {fold}: slight {judge.slight} to {judge.slight_to}, strong from {judge.strong_from}")
        told = fits.told(fold, fold, fits.weights(fold))
        said_of |= {id(one): stated_tilt(one.lines, one.size[1], line, judge) for one, line in told}
        outer += told
    return said_of, choose_bars(outer, WITH_CLIP)._replace(weights=fits.weights(None))


def report(every: list[Shot], said_of: list[Tilt]) -> None:
    plain = {one.name: tilt for one, tilt in zip(every, said_of, strict=True) if one.turn == 0}
    for given in ("the 442", "shoots"):
        part = [(one, tilt) for one, tilt in zip(every, said_of, strict=True) if one.given == given and one.turn == 0]
        real = [(one, tilt) for one, tilt in part if one.reading != "none"]
        read_ones = [(one, tilt) for one, tilt in real if one.truth]
        stated = [(one, tilt) for one, tilt in read_ones if tilt.degrees is not None]
        off = [abs(tilt.degrees - one.truth[0]) for one, tilt in stated]
        none = [(one, tilt) for one, tilt in part if one.reading == "none"]
        false = [(one, tilt) for one, tilt in none if tilt.degrees is not None]
        count = sum(tilt.degrees is not None for _, tilt in real)
        right = sum(one <= BY_EYE for one in off)
        closes = sum(one.close for one, _ in none), sum(one.close for one, _ in false)
        print(f"{given}: with a horizon, or unclear, {len(real)}: stated {count}; read {len(read_ones)}: stated"
              f" {len(stated)}, within {BY_EYE} degrees {right}; none {len(none)}: stated {len(false)}, of"
              f" {closes[0]} close-ups {closes[1]}")  # fmt: skip
        print("  off:", "; ".join(f"{one.name} {tilt.degrees:+.1f} ({one.truth[0]:+.1f}) sure {tilt.confidence:.2f}"
                                  for (one, tilt), far in zip(stated, off, strict=True) if far > BY_EYE))  # fmt: skip
        print(
            "  false:", "; ".join(f"{one.name} {tilt.degrees:+.1f} sure {tilt.confidence:.2f}" for one, tilt in false)
        )
        print("  silent:", " ".join(one.name for one, tilt in read_ones if tilt.degrees is None))
        turned_ones = [(one, tilt) for one, tilt in zip(every, said_of, strict=True)
                       if one.given == given and one.turn and plain[one.name].degrees is not None]  # fmt: skip
        error = [
            abs(tilt.degrees - plain[one.name].degrees - one.turn)
            for one, tilt in turned_ones
            if tilt.degrees is not None
        ]
        print(f"  turned copies of those: {len(error)} of {len(turned_ones)} answered, within {RECOVERED} degrees"
              f" {np.mean(np.array(error) <= RECOVERED):.1%}, median error {np.median(error):.3f}")  # fmt: skip


def draw(every: list[Shot], said_of: list[Tilt], photos: Path, shoots: Path, out: Path) -> None:
    opened, panels = {row[0]: row[-1] for row in wanted(photos, shoots)}, []
    for one, tilt in zip(every, said_of, strict=True):
        if one.turn == 0 and (one.reading != "none" or tilt.degrees is not None):
            panel = Panel(opened[one.name](), f"{one.name} {one.reading} {tilt.confidence:.2f}")
            if tilt.degrees is not None:
                panel.line(tilt.horizon, tilt.degrees, "red")
            panels.append(panel)
    save_sheets(out, "level", [panels[k : k + 7] for k in range(0, len(panels), 7)], 5)


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("photos", type=Path)
    options.add_argument("shoots", type=Path)
    options.add_argument("--write", action="store_true")
    options.add_argument("--keep", type=Path)
    options.add_argument("--sheets", type=Path)
    given = options.parse_args()
    cv2.setNumThreads(1)
    every = shots(given.photos, given.shoots, given.keep)
    deal(every)
    fits = Fits(every)
    found, judge = answers(fits)
    said_of = [found[id(one)] for one in every]
    report(every, said_of)
    print(f"slight {judge.slight} to {judge.slight_to}, strong from {judge.strong_from}")
    print("[" + ", ".join(f"{weight:.3f}" for weight in judge.weights) + "]")
    if given.write:
        with np.load(fit_ground.OUT) as arrays:
            np.savez(
                fit_ground.OUT,
                **{**arrays, CLIP_WEIGHTS: fits.heads[()].above, CROSSING_WEIGHTS: fits.heads[()].crossing},
            )
        print(f"{GROUND_FILE} written")
    if given.sheets:
        draw(every, said_of, given.photos, given.shoots, given.sheets)


if __name__ == "__main__":
    main()

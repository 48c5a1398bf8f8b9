"""Fit what a crop should hold and where its border should not run, to crops chosen by eye; judge it on shoots left out.

    python benchmarks/features/fit_crop_map.py [--pictures FOLDER] [--write]

``windows.csv`` has, for nearly two thousand photographs of 67 shoots, which of five places along its free direction a
square (or a 3 : 2 crop of an upright) should take, which others are as good, and which a client would complain of.
Readers are vision-language models that saw the five crops side by side. ``windows.npz`` has what crops of these places
hold and run through, in CLIP's words turned onto 32 axes, and their marks, so that the fit needs no photograph;
``--pictures FOLDER`` (FOLDER/SHOOT/PHOTOGRAPH.jpg, scanned) makes it anew. A choice is a conditional logit (D.
McFadden, "Conditional logit analysis of qualitative choice behavior", 1974). ``--write`` stores the maps, fitted to
all, in setsolver/models and prints the marks' weights for ``crops.placing.MAPPED``.
"""

from __future__ import annotations

import argparse
import csv
from collections import defaultdict
from pathlib import Path
from typing import NamedTuple

import numpy as np
from scipy.optimize import minimize

from setsolver.crops.columns import stack_frames
from setsolver.crops.framing import judge, scenery_of
from setsolver.crops.mapped import borders, wanted
from setsolver.crops.placing import MAPPED_UNSURE, SURE, worth
from setsolver.features.crop_map import CROP_MAP_FILE

HERE = Path(__file__).parent
READINGS, TABLE = HERE / "windows.csv", HERE / "windows.npz"
OUT = HERE.parents[1] / "setsolver" / "models" / CROP_MAP_FILE
PLACES, AXES, GRID, FOLDS = 5, 32, 14, 8
MARKS = (
    "subject", "faces", "top", "people", "figures", "company", "headroom", "heads", "figure", "kept", "air", "edges",
    "room", "horizon", "free", "clear", "shift",
)  # fmt: skip
LEAST = {"subject": 2.0, "faces": 0.5, "room": 0.6, "horizon": 0.3, "headroom": 0.2, "air": 0.1}
"""What these marks are worth at least: trade rules that these crops, seldom tight, say little of."""
RIDGE, RIDGE_OF_MARKS = 0.003, 0.005
SCALES = (GRID, 3.0)
"""Units in which the two maps are penalised alike."""
BEST, FINE, NOTHING, SPOILT = 3, 2, 1, 0
AIM = np.array([0.0, 0.0, 0.6, 1.0])
"""How much a crop counts as chosen, by its grade."""


class Windows(NamedTuple):
    """held, run : [n, 5, axes] what crops hold and run through. marks : [n, 5, marks]. today : [n, 5], what the placing
    in the package makes of them. grade : [n, 5]. shoot : [n]. axes : [axes, 768], and middle : [768], of the places.
    """  # noqa: D205 - one list of fields

    held: np.ndarray
    run: np.ndarray
    marks: np.ndarray
    today: np.ndarray
    grade: np.ndarray
    shoot: np.ndarray
    axes: np.ndarray
    middle: np.ndarray

    @property
    def rows(self) -> np.ndarray:
        """All features in units in which the two maps are penalised alike, [n, 5, 2 * axes + marks]."""
        return np.concatenate([self.held * SCALES[0] / GRID**2, self.run * SCALES[1] / GRID, self.marks], axis=2)


def readings(reader: str = "1") -> list[dict[str, str]]:
    with READINGS.open(encoding="utf-8") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return [row for row in rows if row["reader"] == reader]


def grades(row: dict[str, str]) -> list[int]:
    said = dict.fromkeys(row["spoilt"], SPOILT) | dict.fromkeys(row["fine"], FINE) | {row["best"]: BEST}
    return [said.get(letter, NOTHING) for letter in "ABCDE"]


def boxes(width: int, height: int, aspect: float) -> np.ndarray:
    """The five crops, [5, 4] fractions: the largest of the aspect, from one end of the frame to the other."""
    wide = min(width, height * aspect)
    size = np.array([wide / width, wide / aspect / height])
    return np.array([[*((1 - size) * place), *size] for place in np.linspace(0, 1, PLACES)])


def make(pictures: Path) -> None:
    """Measure the photographs anew and write the table."""
    from setsolver.catalog.reader import read  # noqa: PLC0415 - only where photographs are at hand
    from setsolver.features.clip import clip_of  # noqa: PLC0415
    from setsolver.features.models import load_clip  # noqa: PLC0415
    from setsolver.usecases.snapshot import snapshot  # noqa: PLC0415

    by_shoot = defaultdict(list)
    for row in readings():
        by_shoot[row["shoot"]].append(row)
    network, kept, tokens = load_clip(), [], []
    marks, today, crops = [], [], []
    for shoot, read_rows in by_shoot.items():
        if not (pictures / shoot).is_dir():
            continue
        frames = {Path(one.path).stem: one for one in snapshot(pictures / shoot).frames}
        rows = [row for row in read_rows if row["photograph"] in frames]
        columns = stack_frames([frames[row["photograph"]] for row in rows])
        places = np.array(
            [boxes(int(w), int(h), float(r["aspect"])) for (w, h), r in zip(columns.pixels, rows, strict=True)]
        )
        judged = judge(scenery_of(columns, np.zeros(len(rows))), places)
        known = np.clip(columns.sure / SURE, 0, 1)[:, None]
        of = {name: getattr(judged, name) * (known if name in MAPPED_UNSURE else 1) for name in MARKS}
        marks.append(np.stack([-of[name] if name == "shift" else of[name] for name in MARKS], axis=2))
        today.append(worth(judged, columns.sure, columns.mapped))
        crops.append(places)
        for row in rows:
            seen = clip_of(read(pictures / shoot / frames[row["photograph"]].path).rgb, network)
            tokens.append(seen.places.astype(np.float16))
        kept += rows
        print(f"{shoot}: {len(rows)}", flush=True)
    told = np.array(tokens)
    drawn = told.reshape(-1, told.shape[-1])[np.random.default_rng(0).permutation(told.size // told.shape[-1])[:40_000]]
    middle = drawn.astype(np.float32).mean(axis=0)
    spread, turn = np.linalg.eigh(np.cov((drawn - middle).astype(np.float64).T))
    order = np.argsort(-spread)[:AXES]
    axes = (turn[:, order] / (3 * np.sqrt(spread[order]))).T.astype(np.float32)
    held, run = np.empty((2, len(kept), PLACES, AXES), np.float32)
    for n, (one, places) in enumerate(zip(told, np.concatenate(crops), strict=True)):
        maps = np.moveaxis((one.astype(np.float32) - middle) @ axes.T, -1, 0).astype(np.float64)
        sums = np.pad(maps.cumsum(axis=1).cumsum(axis=2), ((0, 0), (1, 0), (1, 0)))
        every = np.broadcast_to(places, (AXES, PLACES, 4))
        held[n], run[n] = wanted(sums, every).T, borders(sums, every)[0].T
    half = {"held": held, "run": run, "marks": np.concatenate(marks), "today": np.concatenate(today)}
    np.savez_compressed(
        TABLE, **{name: value.astype(np.float16) for name, value in half.items()}, axes=axes, middle=middle,
        grade=np.array([grades(row) for row in kept], np.int8), shoot=np.array([row["shoot"] for row in kept]),
    )  # fmt: skip


def load() -> Windows:
    with np.load(TABLE) as data:
        return Windows(*(data[name] if name == "shoot" else data[name].astype(float) for name in Windows._fields))


def fit(rows: np.ndarray, grade: np.ndarray) -> np.ndarray:
    """Weights [2 * axes + marks]: none of a mark is under its least, and none of the others under 0."""
    aim = AIM[grade.astype(int)]
    aim /= aim.sum(axis=1, keepdims=True)
    least = np.concatenate([np.zeros(2 * AXES), [LEAST.get(name, 0.0) for name in MARKS]])
    spread = np.concatenate([np.ones(2 * AXES), (rows - rows.mean(axis=1, keepdims=True)).std(axis=(0, 1))[2 * AXES :]])
    spread = np.maximum(spread, 1e-6)
    ridge = np.repeat([RIDGE, RIDGE_OF_MARKS], [2 * AXES, len(MARKS)])
    scaled = rows / spread

    def loss(given: np.ndarray) -> tuple[float, np.ndarray]:
        said = scaled @ given
        odds = np.exp(said - said.max(axis=1, keepdims=True))
        odds /= odds.sum(axis=1, keepdims=True)
        beyond = given - least * spread
        slope = -((aim - odds)[:, :, None] * scaled).sum(axis=(0, 1)) / len(rows) + 2 * ridge * beyond
        return float(-(aim * np.log(odds + 1e-12)).sum() / len(rows) + (ridge * beyond**2).sum()), slope

    floors = [(None, None)] * (2 * AXES) + [(low, None) for low in (least * spread)[2 * AXES :]]
    return (
        minimize(loss, least * spread, jac=True, method="L-BFGS-B", bounds=floors, options={"maxiter": 500}).x / spread
    )


def left_out(rows: np.ndarray, table: Windows) -> np.ndarray:
    """What weights fitted without a shoot say of its crops, [n, 5]."""
    shoots = np.unique(table.shoot)
    fold = dict(zip(np.random.default_rng(1).permutation(shoots), np.arange(len(shoots)) % FOLDS, strict=True))
    folds, said = np.array([fold[one] for one in table.shoot]), np.empty(table.grade.shape)
    for one in range(FOLDS):
        b = folds == one
        said[b] = rows[b] @ fit(rows[~b], table.grade[~b])
    return said


def report(name: str, said: np.ndarray, grade: np.ndarray) -> None:
    middle = -0.001 * np.abs(np.arange(PLACES) - PLACES // 2)
    taken = np.take_along_axis(grade, (said + middle).argmax(axis=1)[:, None], axis=1)
    print(f"| {name} | {(taken == BEST).mean():.1%} | {(taken >= FINE).mean():.1%} | {(taken == SPOILT).mean():.1%} |")


def second() -> None:
    one = {(row["shoot"], row["photograph"], row["aspect"]): grades(row) for row in readings()}
    pairs = [
        (one[key], row) for row in readings("2") if (key := (row["shoot"], row["photograph"], row["aspect"])) in one
    ]
    taken = np.array([grade["ABCDE".index(row["best"])] for grade, row in pairs])
    said = f"{(taken == BEST).mean():.1%} | {(taken >= FINE).mean():.1%} | {(taken == SPOILT).mean():.1%}"
    print(f"| another reader, of {len(taken)} | {said} |")


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--pictures", type=Path)
    options.add_argument("--write", action="store_true")
    given = options.parse_args()
    if given.pictures:
        make(given.pictures)
    table = load()
    rows = table.rows
    plain = np.concatenate([np.zeros_like(rows[:, :, : 2 * AXES]), table.marks], axis=2)
    print(
        f"{len(rows)} photographs of {len(np.unique(table.shoot))} shoots\n| placed by | best | best or fine | spoilt |"
    )
    print("| --- | --- | --- | --- |")
    report("the middle", np.zeros(table.grade.shape), table.grade)
    report("the placing as it was when the table was made", table.today, table.grade)
    report("marks, fitted", left_out(plain, table), table.grade)
    report("marks and maps", left_out(rows, table), table.grade)
    second()
    weights = fit(rows, table.grade)
    print({name: round(float(one), 2) for name, one in zip(MARKS, weights[2 * AXES :], strict=True)})
    if given.write:
        maps = (
            np.stack([weights[:AXES] * SCALES[0] / GRID**2, weights[AXES : 2 * AXES] * SCALES[1] / GRID]) @ table.axes
        )
        np.savez(OUT, weights=maps.astype(np.float32), bias=-(maps @ table.middle).astype(np.float32))


if __name__ == "__main__":
    main()

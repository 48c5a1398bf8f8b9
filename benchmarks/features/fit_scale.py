"""Fit shot scale on what both networks say, judge it on sources it was not fitted to, and write it.

    python benchmarks/features/fit_scale.py [--write] [--detailed] [--nested]

Photographs of appeal_table.npz have both networks' numbers and two readings; those of training_table.npz that are not
among them have EfficientNet-Lite0's alone. The regression adds two kernels: one on Lite0's numbers, over all of them,
and one on both networks', over the former. Every photograph is predicted without its source, in closed form. The
readers are vision-language models that saw contact sheets, not people.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from pathlib import Path

import appeal_table
import kernel as one_network
import numpy as np
import table as small_table
from sklearn.model_selection import GroupKFold

from setsolver.features.kernel_head import odds_of
from setsolver.features.models import SCALE_FILE
from setsolver.features.scale_head import Landmarks, ScaleHead, roots

OUT = Path(__file__).parents[2] / "setsolver" / "models" / SCALE_FILE
SMALL = (0.5, 0.5)
"""Shares of the frame and its inner view in the squared distance of Lite0's kernel."""
BOTH = (0.2, 0.2, 0.25, 0.3, 0.1)
"""Shares of Lite0 on the frame and its inner view, CLIP's embedding, its places, and those of the inner view."""
COMMON = 0.01


@dataclass(frozen=True)
class Setting:
    """small : weight of Lite0's kernel, the other has the rest. ridge : added to the diagonal.

    aside : how many times as much for photographs with one network only. axes : of either kernel, 0 = all.
    """

    small: float = 0.3
    ridge: float = 0.1
    aside: float = 1.5
    axes: tuple[int, int] = (192, 256)


CHOICES = [Setting(small, ridge, aside) for small in (0.3, 0.5) for ridge in (0.1, 0.2) for aside in (1.5, 3.0)]


@dataclass(frozen=True)
class Readings:
    """first, second : [n, 2], indexes of scales, -1 = none. source : [n]. The first ``full`` have both networks."""

    first: np.ndarray
    second: np.ndarray
    source: np.ndarray
    full: int

    @property
    def target(self) -> np.ndarray:
        """Odds that the readings stand for."""
        blank = np.zeros((len(self.first), 0))
        return small_table.Table(blank, blank, self.first, self.second, *[blank] * 4).target


def load() -> tuple[list[np.ndarray], list[np.ndarray], Readings, np.ndarray]:
    """Parts of Lite0 of all photographs, of CLIP of the first, readings, and which of the first are of the 442."""
    rated, other = appeal_table.load(), small_table.load()
    number = {name: k for k, name in enumerate(small_table.SCALES)}
    first, second = (
        np.vectorize(lambda word: number.get(str(word), -1))(words) for words in (rated.scale, rated.second)
    )
    usable = (first >= 0).all(axis=1) & (rated.kind == "photo")
    apart = other.usable & ((other.source < 100) | (other.source >= small_table.FIRST_PACKAGE))
    pairs = ((rated.lite, other.whole), (rated.inner_lite, other.inner))
    lite = [roots(np.vstack([one[usable], two[apart]])) for one, two in pairs]
    clip = [part[usable] for part in (rated.clip, rated.places, rated.inner_places)]
    readings = Readings(
        np.vstack([first[usable], other.first[apart]]),
        np.vstack([second[usable], other.second[apart]]),
        np.concatenate([rated.source[usable], 1000 + other.source[apart]]),
        int(usable.sum()),
    )
    return lite, clip, readings, np.char.isdigit(np.array([name[0] for name in rated.name]))[usable]


def landmarks(parts: list[np.ndarray], shares: tuple[float, ...], axes: int) -> Landmarks:
    means = np.concatenate([part.mean(axis=0) for part in parts])
    sizes = np.array([part.shape[1] for part in parts])
    shell = [np.asarray(one, np.float32) for one in (means, sizes, shares, np.zeros((1, 1)), np.zeros((1, 1)))]
    rows = Landmarks(*shell).rows(parts)
    spread, turn = np.linalg.eigh(rows.T @ rows)
    kept = turn[:, np.argsort(-spread)[: axes or None]].astype(np.float16)
    return Landmarks(*shell[:3], kept.astype(np.float32), (rows @ kept).astype(np.float16).astype(np.float32))


def kernels(lite: list[np.ndarray], clip: list[np.ndarray], full: int, setting: Setting) -> tuple[Landmarks, Landmarks]:
    # the inner views of the others are means of five parts of a frame, seen in another way: about their own middle
    inner = lite[1].copy()
    inner[full:] += inner[:full].mean(axis=0) - inner[full:].mean(axis=0)
    small = landmarks([lite[0], inner], SMALL, setting.axes[0])
    return small, landmarks([*(part[:full] for part in lite), *clip], BOTH, setting.axes[1])


def covariance(points: np.ndarray) -> np.ndarray:
    return one_network.likeness(points.astype(np.float64), points.astype(np.float64))


def solved(one: np.ndarray, two: np.ndarray | None, full: int, setting: Setting) -> np.ndarray:
    """Inverse of the sum of both kernels (``two`` None: of Lite0's alone) and the ridge."""
    whole = one * (setting.small if two is not None else 1.0) + COMMON
    if two is not None:
        whole[:full, :full] += (1 - setting.small) * two
    ridge = np.where(np.arange(len(one)) < full, 1.0, setting.aside) * setting.ridge
    return np.linalg.inv(whole + np.diag(ridge))


def held_out(inverse: np.ndarray, target: np.ndarray, source: np.ndarray) -> np.ndarray:
    dual, result = inverse @ (target - target.mean(axis=0)), np.empty_like(target)
    for one in np.unique(source):
        b = source == one
        result[b] = target[b] - np.linalg.solve(inverse[np.ix_(b, b)], dual[b])
    return result


def report(name: str, odds: np.ndarray, readings: Readings, rows: np.ndarray) -> None:
    first, second, said = readings.first[rows], readings.second[rows], odds[rows]
    guess = said.argmax(axis=1)[:, None]
    strict = (guess == first).any(axis=1)
    either = strict | (guess == second).any(axis=1)
    surer = np.argsort(-said.max(axis=1), kind="stable")[: len(said) // 2]
    recall = np.mean([strict[first[:, 0] == k].mean() for k in range(3) if (first[:, 0] == k).any()])
    shares = (strict.mean(), (guess[:, 0] == first[:, 0]).mean(), either.mean(), strict[surer].mean(), recall)
    print(f"| {name} | {len(said)} | " + " | ".join(f"{share:.1%}" for share in shares) + " |", flush=True)


def calibration(odds: np.ndarray, readings: Readings, rows: np.ndarray) -> None:
    sure, right = odds[rows].max(axis=1), (odds[rows].argmax(axis=1)[:, None] == readings.first[rows]).any(axis=1)
    print("\n| odds of the likeliest | photographs | mean odds | right |\n| --- | --- | --- | --- |")
    for low, high in ((0.3, 0.5), (0.5, 0.7), (0.7, 0.85), (0.85, 0.95), (0.95, 0.99), (0.99, 1.01)):
        b = (sure >= low) & (sure < high)
        if b.any():
            print(f"| {low:g} to {min(high, 1):g} | {b.sum()} | {sure[b].mean():.1%} | {right[b].mean():.1%} |")


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--write", action="store_true", help=f"write {OUT.name}")
    options.add_argument("--detailed", action="store_true", help="every source, and how far odds are true")
    options.add_argument("--nested", action="store_true", help="choose the setting without the sources judged")
    asked = options.parse_args()
    lite, clip, readings, older = load()
    setting, target, full = Setting(), readings.target, readings.full
    small, both = kernels(lite, clip, full, setting)
    one, two = covariance(small.points), covariance(both.points)
    everyone = np.arange(len(target))
    without = np.zeros(len(target) - full, bool)
    groups = {
        "both networks' photographs": everyone < full,
        "of these the 442": np.append(older, without),
        "of these the 1,915": np.append(~older, without),
        "one network's photographs": everyone >= full,
    }
    inverses = {"both": solved(one, two, full, setting), "alone": solved(one, None, full, setting)}
    print("| sources left out one by one | n | strict | first reader | + second | surer half | mean by scale |")
    print("| --- | --- | --- | --- | --- | --- | --- |")
    power, odds = {}, {}
    for name, inverse in inverses.items():
        said = held_out(inverse, target, readings.source)
        power[name] = one_network.power(said[:full], readings.first[:full, 0])
        odds[name] = odds_of(said, power[name])
        for group, rows in groups.items():
            report(f"{'both networks' if name == 'both' else 'Lite0 alone'}: {group}", odds[name], readings, rows)
    if asked.nested:
        nested(one, two, readings, groups)
    if asked.detailed:
        names = appeal_table.names()
        for number in np.unique(readings.source[:full]):
            if (readings.source == number).sum() >= 20:
                report(names[number], odds["both"], readings, readings.source == number)
        calibration(odds["both"], readings, groups["both networks' photographs"])
    if asked.write:
        middle = target.mean(axis=0)
        dual = {name: inverse @ (target - middle) for name, inverse in inverses.items()}
        weights = (setting.small * dual["both"], (1 - setting.small) * dual["both"][:full], dual["alone"])
        bias = np.stack([middle + COMMON * dual[name].sum(axis=0) for name in dual])
        rest = (part.astype(np.float32) for part in (*weights, bias, np.array([power[name] for name in dual])))
        head = ScaleHead(small, both, *rest)
        np.savez(OUT, **head.arrays())
        print(f"\nwrote {OUT.name}, {OUT.stat().st_size / 1e3:.0f} kB")


def nested(one: np.ndarray, two: np.ndarray, readings: Readings, groups: dict[str, np.ndarray]) -> None:
    """Predict each fifth of the sources by the setting and the power that the other four choose."""
    target, full = readings.target, readings.full
    said = [held_out(solved(one, two, full, choice), target, readings.source) for choice in CHOICES]
    odds = np.zeros_like(target)
    for train, test in GroupKFold(5, shuffle=True, random_state=0).split(target, groups=readings.source):
        here = train[train < full]
        marks = [(s[here].argmax(axis=1)[:, None] == readings.first[here]).any(axis=1).mean() for s in said]
        best = said[int(np.argmax(marks))]
        odds[test] = odds_of(best[test], one_network.power(best[here], readings.first[here, 0]))
    for group, rows in groups.items():
        report(f"setting chosen by others: {group}", odds, readings, rows)


if __name__ == "__main__":
    main()

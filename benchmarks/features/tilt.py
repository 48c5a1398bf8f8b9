"""Recovery of known rotations, and silence where there is no horizon.

    python benchmarks/features/tilt.py PHOTOS [--sheets FOLDER]

Neither the odds that a frame has a horizon, nor what lies above it, nor the weights of the cues were fitted on the
frame's source.
``--sheets`` draws what was found: every photograph with a horizon, and those without that got a tilt.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import cv2
import numpy as np
from fit_tilt import examples, fit, grounds, held_out_weights
from photographs import labels, read
from sheets import Panel, save_sheets
from turns import TURNS, has_horizon, likely, read_by_eye, turned

from setsolver.domain.measures import Tilt
from setsolver.features.horizon import ALONE, find_tilt
from setsolver.features.views import make_views

NOTHING = np.full((7, 7), 0.5)
"""What lies above, of photographs so unlikely to have a horizon that nothing is looked for."""
BY_EYE = 0.5
"""Degrees from what was read by eye within which a stated tilt is right."""


@dataclass
class Tally:
    """What was found, photograph by photograph."""

    with_horizon: int = 0
    stated: int = 0
    read: int = 0
    right: int = 0
    silent: int = 0
    without: int = 0
    errors: list[float] = field(default_factory=list)
    misses: list[str] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)
    false: list[tuple[str, float]] = field(default_factory=list)
    panels: list[Panel] = field(default_factory=list)


def draw(rgb: np.ndarray, name: str, found: Tilt, odds: float) -> Panel:
    panel = Panel(rgb, f"{name} odds {odds:.2f} sure {found.confidence:.2f}")
    if found.degrees is not None and found.horizon is not None:
        panel.line(found.horizon, found.degrees, "red")
    return panel


def look(tally: Tally, name: str, rgb: np.ndarray, still: Tilt, find: Callable[[np.ndarray, float], Tilt]) -> None:
    """A photograph with a horizon: against the eye, and turned."""
    tally.with_horizon += 1
    if still.degrees is None:
        return
    tally.stated += 1
    truth = read_by_eye().get(name)
    if truth:
        tally.read += 1
        tally.right += abs(still.degrees - truth[0]) <= BY_EYE
    if truth is None or abs(still.degrees - truth[0]) > BY_EYE:
        tally.wrong.append(f"{name} {still.degrees:+.1f} ({f'{truth[0]:+.1f}' if truth else 'not read'})")
    for turn in TURNS:
        found = find(turned(rgb, turn), turn).degrees
        if found is None:
            tally.silent += 1
            continue
        tally.errors.append(abs(found - still.degrees - turn))
        if tally.errors[-1] > 0.3:
            tally.misses.append(f"{name} by {turn:+.1f}: {found - still.degrees:+.2f}")


def report(tally: Tally) -> None:
    error, angles = np.array(tally.errors), np.array([abs(angle) for _, angle in tally.false])
    print(f"frames that a reader gives a horizon: {tally.with_horizon}; a tilt is stated for {tally.stated}; of"
          f" {tally.read} of these read by eye within {BY_EYE} degrees: {tally.right}")  # fmt: skip
    print("other or not read:", "; ".join(tally.wrong))
    print(f"rotations of those: {len(error)} answered, {tally.silent} not; within 0.3 degrees"
          f" {np.mean(error <= 0.3):.1%}, 0.5 degrees {np.mean(error <= 0.5):.1%};"
          f" median error {np.median(error):.3f}")  # fmt: skip
    print("missed:", "; ".join(tally.misses))
    print(f"frames without: {tally.without}; a tilt is stated for {len(angles)}, above 1 degree for"
          f" {(angles > 1).sum()}, above 3 degrees for {(angles > 3).sum()}:",
          "; ".join(f"{name} {angle:+.1f}" for name, angle in tally.false))  # fmt: skip


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("photos", type=Path)
    options.add_argument("--sheets", type=Path)
    given = options.parse_args()
    cv2.setNumThreads(1)
    odds, tally = likely(), Tally()
    above = grounds(given.photos, odds)
    found = examples(given.photos, odds, above)
    weights, every = held_out_weights(found), fit(found)
    for name, row in labels(given.photos).items():
        rgb, has = read(given.photos, name), has_horizon(row)

        def find(picture: np.ndarray, turn: float, name: str = name, source: str = row["source"]) -> Tilt:
            ground = above.get((name, turn), NOTHING)
            return find_tilt(
                make_views(picture), odds[name], ground, judge=ALONE._replace(weights=weights.get(source, every))
            )

        still = find(rgb, 0.0)
        if has:
            look(tally, name, rgb, still, find)
        else:
            tally.without += 1
        if not has and still.degrees is not None:
            tally.false.append((name, still.degrees))
        if has or still.degrees is not None:
            tally.panels.append(draw(rgb, name, still, odds[name]))
    report(tally)
    if given.sheets:
        rows = [tally.panels[k : k + 7] for k in range(0, len(tally.panels), 7)]
        save_sheets(given.sheets, "tilt", rows, 5)


if __name__ == "__main__":
    main()

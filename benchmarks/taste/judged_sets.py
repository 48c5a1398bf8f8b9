"""Sets as judges see them: of which shoot, by whom, each print with its crop; kept as a table, never as pictures."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from dataclasses import astuple, dataclass, fields
from itertools import groupby
from pathlib import Path
from typing import NamedTuple

KINDS = {"three": 3, "five": 5}
"""Prints of each kind of set: squares for a wall, and a story of 3 : 2 prints."""
ASPECTS = {"three": "1:1", "five": "3:2"}


class Crop(NamedTuple):
    """A part of the upright, levelled frame, in fractions of it; level in degrees counter-clockwise."""

    left: float
    top: float
    width: float
    height: float
    level: float


@dataclass(frozen=True, order=True)
class Print:
    """A line of the table: the place-th print of a set of a shoot that ``maker`` made."""

    shoot: str
    kind: str
    maker: str
    place: int
    photograph: str
    left: float
    top: float
    width: float
    height: float
    level: float

    @property
    def crop(self) -> Crop:
        """What it shows of the frame."""
        return Crop(self.left, self.top, self.width, self.height, self.level)

    @property
    def whose(self) -> tuple[str, str, str]:
        """Shoot, kind and maker: the set that it is a print of."""
        return self.shoot, self.kind, self.maker


Sets = dict[tuple[str, str, str], list[Print]]
"""Prints in order, by shoot, kind and maker."""


def read(paths: Iterable[Path]) -> Sets:
    """Sets of some tables.

    Raises
    ------
    SystemExit
        Where a set has not as many prints as its kind has, or stands in two tables.
    """
    prints = sorted(one for path in paths for one in _lines(path))
    sets = {whose: list(of) for whose, of in groupby(prints, lambda one: one.whose)}
    for (shoot, kind, maker), of in sets.items():
        if [one.place for one in of] != list(range(1, KINDS[kind] + 1)):
            raise SystemExit(f"the {kind} of {maker} of shoot {shoot} has the places {[one.place for one in of]}")
    return sets


def _lines(path: Path) -> Iterator[Print]:
    with path.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            text = {name: row[name] for name in ("shoot", "kind", "maker", "photograph")}
            crop = Crop(*(float(row[name]) for name in Crop._fields))
            yield Print(place=int(row["place"]), **text, **crop._asdict())


def write(path: Path, prints: Iterable[Print]) -> None:
    """Write a table of sets, in their order."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow([one.name for one in fields(Print)])
        writer.writerows(
            [f"{value:.4f}" if isinstance(value, float) else value for value in astuple(one)] for one in prints
        )

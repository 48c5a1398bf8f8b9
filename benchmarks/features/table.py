"""The training table, decoded, and what of a prediction counts as right."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

SCALES = ("wide", "medium", "close")
TABLE = Path(__file__).with_name("training_table.npz")
FIRST_PACKAGE = 200
"""Sources from this number on are packages, added by package_photographs.py."""
SECOND_SHARE = 0.3
"""How much of a reading goes to the reader's second choice where there is one."""


@dataclass(frozen=True)
class Table:
    """Embeddings [n, 1280] of whole and inner views, target odds [n, 3], and labels; index -1 = none of the scales."""

    whole: np.ndarray
    inner: np.ndarray
    first: np.ndarray  # [n, 2] readings of two readers (the same one twice where there is one)
    second: np.ndarray
    horizon: np.ndarray
    people: np.ndarray
    source: np.ndarray
    picture: np.ndarray

    @property
    def target(self) -> np.ndarray:
        """Odds that the readings stand for."""
        odds = np.zeros((len(self.first), 3))
        for first, second in zip(self.first.T, self.second.T, strict=True):
            share = np.where(second >= 0, SECOND_SHARE, 0.0)
            for k in range(3):
                odds[:, k] += (first == k) * (1 - share) + (second == k) * share * (first >= 0)
        return odds / np.maximum(odds.sum(axis=1, keepdims=True), 1e-9)

    @property
    def usable(self) -> np.ndarray:
        """Whether every reader saw a photograph with a scale."""
        return (self.first >= 0).all(axis=1)


def load() -> Table:
    data = np.load(TABLE)
    index = {name: k for k, name in enumerate(SCALES)}

    def read(one: str, two: str) -> np.ndarray:
        pairs = [(a, b or a) for a, b in zip(data[one], data[two], strict=True)]
        return np.array([[index.get(str(a), -1), index.get(str(b), -1)] for a, b in pairs])

    return Table(
        whole=(data["code"] / 255 * data["top"]) ** 2,
        inner=(data["inner_code"] / 255 * data["inner_top"]) ** 2,
        first=read("scale", "scale_b"),
        second=np.where(data["scale_b"][:, None] == "", read("second", "second"), read("second", "second_b")),
        horizon=data["horizon"],
        people=data["people"],
        source=data["source"],
        picture=data["picture"],
    )


def right(odds: np.ndarray, table: Table) -> tuple[np.ndarray, np.ndarray]:
    """Whether the likeliest scale is a reader's first choice, and whether it is a first or second choice."""
    guess = odds.argmax(axis=1)[:, None]
    strict = (guess == table.first).any(axis=1)
    return strict, strict | (guess == table.second).any(axis=1)

"""The table of appeal and scale readings, decoded."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

__all__ = ["Rated", "decoded", "load", "names"]

TABLE = Path(__file__).with_name("appeal_table.npz")
SOURCES = Path(__file__).with_name("appeal_sources.csv")


@dataclass(frozen=True)
class Rated:
    """Embeddings [n, d], numbers [n, 27] (0 where ``measured`` is False), readings [n, 2], sources [n]."""

    clip: np.ndarray
    places: np.ndarray
    inner_places: np.ndarray
    lite: np.ndarray
    inner_lite: np.ndarray
    numbers: np.ndarray
    measured: np.ndarray
    appeal: np.ndarray
    scale: np.ndarray
    second: np.ndarray
    kind: np.ndarray
    source: np.ndarray
    name: np.ndarray

    @property
    def target(self) -> np.ndarray:
        """Mean of the two readers."""
        return self.appeal.mean(axis=1)


def decoded(data: Mapping[str, np.ndarray], name: str) -> np.ndarray:
    """What ``coded`` in make_appeal_table.py made 8-bit codes of; of Lite0's embeddings it took the roots."""
    values = data[name] * data[f"{name}_step"] + data[f"{name}_least"]
    return values**2 if "lite" in name else values


def load() -> Rated:
    data = np.load(TABLE)
    parts = [decoded(data, name) for name in ("clip", "places", "inner_places", "lite", "inner_lite")]
    pairs = [np.stack([data[f"{name}_a"], data[f"{name}_b"]], axis=1) for name in ("appeal", "scale", "second")]
    return Rated(*parts, data["numbers"], data["measured"] > 0, *pairs, data["kind"], data["source"], data["id"])


def names() -> list[str]:
    """Names of the sources, by number."""
    with SOURCES.open(encoding="utf-8") as file:
        return [row["source"] for row in csv.DictReader(file)]

"""All photographs that appeal is fitted to: the table that two readers rated, and the shoots that one or two rated."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from appeal_table import decoded
from appeal_table import load as load_table

__all__ = ["MORE", "Rows", "load"]

MORE = Path(__file__).with_name("appeal_more.npz")


@dataclass(frozen=True)
class Rows:
    """clip [n, 512], places [n, 768], lite [n, 1280], numbers [n, 27] (0 where ``measured`` is False), layers [n, 128]
    (0, their mean, where ``layered`` is False), target [n] (mean of the readers), readers [n], source and name [n].

    The first ``table`` rows are those of ``appeal_table``.
    """  # noqa: D205 - one list of fields

    clip: np.ndarray
    places: np.ndarray
    lite: np.ndarray
    numbers: np.ndarray
    measured: np.ndarray
    layers: np.ndarray
    layered: np.ndarray
    target: np.ndarray
    readers: np.ndarray
    source: np.ndarray
    name: np.ndarray
    table: int


def load() -> Rows:
    table, more = load_table(), np.load(MORE)
    clip, places, lite, layers = (decoded(more, name) for name in ("clip", "places", "lite", "layers"))
    layered = more["layered"] > 0
    count, added = len(table.source), len(more["id"])
    return Rows(
        np.concatenate([table.clip, clip]),
        np.concatenate([table.places, places]),
        np.concatenate([table.lite, lite]),
        np.concatenate([table.numbers, more["numbers"]]),
        np.concatenate([table.measured, np.ones(added, bool)]),
        np.where(layered[:, None], layers, 0),
        layered,
        np.concatenate([table.target, more["appeal"]]),
        np.concatenate([np.full(count, 2), more["readers"]]),
        np.concatenate([table.source, more["source"]]),
        np.concatenate([table.name, more["id"]]),
        count,
    )

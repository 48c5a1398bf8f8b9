"""A measuring that costs nothing, for scans whose numbers alone matter; in its own file, so that workers find it."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from setsolver.domain.measures import EMBEDDING_SIZE, Measures
from tests.rules.builders import make_frame

__all__ = ["measurer"]


def measurer() -> Callable[[np.ndarray], Measures]:
    """Return a measuring by random embeddings, unlike in every process, so that grouping finds nothing to group."""
    measures = make_frame(0).measures
    rng = np.random.default_rng()
    return lambda _: replace(
        measures,
        embedding=rng.gamma(0.5, 0.5, EMBEDDING_SIZE).astype(np.float16),
        phash=int(rng.integers(0, 2**62)) * 4,
    )

"""What measuring is given and gives back; apart from the measuring itself, which takes long to load."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from setsolver.catalog.listing import Listed
from setsolver.catalog.records import Measured, RefusedRow
from setsolver.domain.measures import Measures

__all__ = ["Factory", "Measurer", "Result", "Task"]

Measurer = Callable[[NDArray[np.uint8]], Measures]
Factory = Callable[[], Measurer]
"""Makes a measurer in the process that uses it; sent to workers by name."""
Result = Measured | RefusedRow


@dataclass(frozen=True, slots=True)
class Task:
    """digest : content when last measured, where measures of this version are there; b"" otherwise."""

    listed: Listed
    version: str
    digest: bytes = b""

"""What measuring is given and gives back; apart from the measuring itself, which takes long to load."""

from __future__ import annotations

from collections.abc import Callable, Generator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from setsolver.catalog.listing import Listed
from setsolver.catalog.records import Measured, RefusedRow
from setsolver.domain.measures import Measures

__all__ = ["Factory", "Measurer", "Result", "Results", "Task"]

Measurer = Callable[[NDArray[np.uint8]], Measures]
Factory = Callable[[], Measurer]
"""Makes a measurer in the process that uses it; sent to workers by name."""
Result = Measured | RefusedRow
Results = Generator[Result, None, None]
"""Results as they come; what measures them ends when it is closed."""


@dataclass(frozen=True, slots=True)
class Task:
    """digest : content when last measured, where measures of this version are there; b"" otherwise.

    turn : degrees clockwise by which the picture is turned before it is measured.
    """

    listed: Listed
    version: str
    digest: bytes = b""
    turn: int = 0

"""What measuring is given and gives back; apart from the measuring itself, which takes long to load."""

from __future__ import annotations

from collections.abc import Callable, Generator
from dataclasses import dataclass, replace
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

from setsolver.catalog.pairing import Listed
from setsolver.catalog.records import Measured, RefusedRow, Retold
from setsolver.domain.measures import Measures
from setsolver.domain.origin import fingerprint, later, origins

__all__ = [
    "EVERYTHING",
    "QUICK_VERSION",
    "READ",
    "VERSION",
    "Factory",
    "Measurer",
    "Result",
    "Results",
    "Task",
    "needs_pixels",
]

EVERYTHING: Final = frozenset(origins(Measures))
"""Names of all measures."""
_AT_ONCE: Final = EVERYTHING - later(Measures)
VERSION: Final = fingerprint(Measures)
"""The versions of all measures; frames measured by others are measured again, as far as they differ."""
QUICK_VERSION: Final = fingerprint(Measures, later(Measures))
"""The same of a frame of which a quick scan left something for later."""
READ: Final = (VERSION, QUICK_VERSION)
"""Versions of frames that can be read."""


class Measurer(Protocol):
    """Measures a preview, or what is ``due`` of a frame of which the rest is ``known``."""

    def __call__(
        self, rgb: NDArray[np.uint8] | None, known: Measures | None = None, due: frozenset[str] = EVERYTHING
    ) -> Measures:
        """See ``features.measure``."""


Factory = Callable[[], Measurer]
"""Makes a measurer in the process that uses it; sent to workers by name."""
Result = Measured | Retold | RefusedRow
Results = Generator[Result, None, None]
"""Results as they come; what measures them ends when it is closed."""


@dataclass(frozen=True, slots=True)
class Task:
    """digest : content when last measured, where measures of this version are there; b"" otherwise.

    turn : degrees clockwise by which the picture is turned before it is measured.
    due : what is to be measured. known : what was measured before, where not everything is due and the file seems the
    same. quick : whether all of a frame is all but what is left for later. left : of what is known, what is of another
    version and left for later, so that nothing new is told from it. older : told from that, and kept as it was.
    """

    listed: Listed
    version: str
    digest: bytes = b""
    turn: int = 0
    due: frozenset[str] = EVERYTHING
    known: Measures | None = None
    quick: bool = False
    left: frozenset[str] = frozenset()
    older: frozenset[str] = frozenset()

    def whole(self) -> Task:
        """Return the task to measure everything, whatever was measured before."""
        due, version = (_AT_ONCE, QUICK_VERSION) if self.quick else (EVERYTHING, VERSION)
        return replace(self, version=version, digest=b"", due=due, known=None, left=frozenset(), older=frozenset())


def needs_pixels(due: frozenset[str]) -> bool:
    """Tell whether any of these measures is told from pixels."""
    return any(origin.pixels for name, origin in origins(Measures).items() if name in due)

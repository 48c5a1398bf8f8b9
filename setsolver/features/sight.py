"""A frame as features see it: its pixels, the networks, and what was measured of it so far."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import SimpleNamespace
from typing import Any, Final, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.measures import Measures
from setsolver.features.models import Models

__all__ = ["FEATURES", "Sight", "feature"]

T = TypeVar("T")
M = TypeVar("M", bound="Callable[[Sight], Any]")


class Sight:
    """One frame while it is measured.

    models : the networks. found : measures by name as they are found; those that a feature's line in ``Measures``
    names are there when it runs. Not to be shared between threads.
    """

    def __init__(self, rgb: NDArray[np.uint8] | None, models: Models, known: Mapping[str, Any]) -> None:
        self._rgb = rgb
        self._made: dict[Any, Any] = {}
        self.models = models
        self.found = cast("Measures", SimpleNamespace(**known))

    @property
    def rgb(self) -> NDArray[np.uint8]:
        """The preview, uint8[H, W, 3] in sRGB, upright.

        Raises
        ------
        LookupError
            Where a feature that said to need no pixels asks for them.
        """
        if self._rgb is None:
            raise LookupError("a feature asks for pixels that its line in Measures says it does not need")
        return self._rgb

    def once(self, make: Callable[[Sight], T]) -> T:
        """Return what a function makes of this sight; it runs once, however many features ask."""
        if make not in self._made:
            self._made[make] = make(self)
        return cast("T", self._made[make])

    def put(self, name: str, value: Any) -> None:
        """Keep a measure for the features that read it."""
        vars(self.found)[name] = value


FEATURES: Final[dict[str, Callable[[Sight], Any]]] = {}
"""What measures each field of ``Measures``; filled as the files of this package are imported."""


def feature(name: str) -> Callable[[M], M]:
    """Mark the function that measures a field of ``Measures``.

    Raises
    ------
    ValueError
        Where another function measures it, or the record has no such field.
    """

    def mark(measure: M) -> M:
        if name in FEATURES or name not in Measures.__dataclass_fields__:
            raise ValueError(f"{name!r} is measured twice, or is no field of Measures")
        FEATURES[name] = measure
        return measure

    return mark

"""Room for what a print needs on its way: taken once by each thread, for fresh memory costs more than what fills it."""

from __future__ import annotations

from math import prod
from typing import Any, Final

import numpy as np
from numpy.typing import DTypeLike, NDArray

__all__ = ["Room"]

_LINE: Final = 64
"""Bytes of a line of the processor's cache, at which arrays begin."""


class Room:
    """Arrays by name; what was in one of the same name before is overwritten. Not to be shared between threads."""

    def __init__(self) -> None:
        self._held: dict[str, NDArray[np.uint8]] = {}
        self._last: dict[str, tuple[tuple[int, ...], DTypeLike, NDArray[Any]]] = {}

    def floats(self, name: str, shape: tuple[int, ...]) -> NDArray[np.float32]:
        """Return an array of a shape; float32, C-contiguous, holding anything."""
        return self.codes(name, shape, np.float32)

    def codes(self, name: str, shape: tuple[int, ...], dtype: DTypeLike) -> NDArray[Any]:
        """Return an array of a shape and type; C-contiguous, holding anything."""
        last = self._last.get(name)
        if last is not None and last[0] == shape and last[1] is dtype:  # tile after tile
            return last[2]
        size = prod(shape) * np.dtype(dtype).itemsize
        held = self._held.get(name)
        if held is None or held.size < size:
            self._last.pop(name, None)
            self._held.pop(name, None)
            fresh = np.empty(size + _LINE, np.uint8)
            begins = -fresh.ctypes.data % _LINE
            held = self._held[name] = fresh[begins : begins + size]
        result = held[:size].view(dtype).reshape(shape)
        self._last[name] = shape, dtype, result
        return result

"""A row of numbers for each frame of a catalog, made again only for frames of which something that it needs differs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from operator import is_, is_not
from typing import Any

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.columns import Column
from setsolver.domain.frame import Frame
from setsolver.domain.last import at_hand, remembered, worth_keeping

__all__ = ["Patched"]


class Patched:
    """Rows [F, d] made of some columns; where no column differs, the very same array is returned. Never changed.

    Parameters
    ----------
    make : told the columns of some frames [f], returns their rows [f, d], each told from its own frame alone.
    most : frames up to which rows are kept.
    """

    def __init__(self, make: Callable[..., NDArray[Any]], *columns: Column, most: int) -> None:
        self._make, self._columns, self._most = make, columns, most
        self._held: tuple[tuple[list[NDArray[Any]], NDArray[Any]], ...] = ()
        remembered(self)

    def forget(self) -> None:
        """Let go of the rows."""
        self._held = ()

    def of(self, frames: Sequence[Frame]) -> NDArray[Any]:
        """Return the rows of frames, in their order."""
        columns, held = [column.of(frames) for column in self._columns], self._held
        known = next((one for one in held if all(map(is_, one[0], columns))), None)
        if known is not None:
            if known is not held[0]:
                self._held = (known, *(one for one in held if one is not known))
            return known[1]
        rows = None
        if held and len(held[0][1]) == len(frames):
            others = np.zeros(len(frames), np.bool_)
            for old, new in zip(held[0][0], columns, strict=True):
                others |= _others(old, new)
            at = np.flatnonzero(others)
            rows = held[0][1].copy()
            rows[at] = self._make(*(column[at] for column in columns)) if len(at) else rows[at]
        if rows is None:
            rows = self._make(*columns)
        if len(frames) <= self._most and (not held or worth_keeping(len(frames), len(held[0][1]))):
            self._held = ((columns, rows), *held)[: at_hand(len(frames))]
        return rows


def _others(old: NDArray[Any], new: NDArray[Any]) -> NDArray[np.bool_]:
    if old.dtype.kind != "O":
        return np.asarray(old != new)
    return np.fromiter(map(is_not, old.tolist(), new.tolist()), np.bool_, len(new))

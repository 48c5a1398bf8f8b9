"""How loops over pixels are compiled: on first use in each process, because no folder need be writable for a print.

They fill arrays of the caller and allocate nothing. Pictures lie in planes, a channel after the other, so that a loop
runs over many pixels at once (``lanes``).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

import numba
from numpy.typing import NDArray

__all__ = ["Floats", "Numbers", "compiled", "inlined"]

Function = TypeVar("Function", bound=Callable[..., Any])
Floats = NDArray[Any]
Numbers = tuple[Any, ...]
_FLOATS = {"reassoc", "contract", "nsz", "arcp"}


def compiled(function: Function) -> Function:
    """Compile without the GIL, so that tiles are drawn side by side; sums may be reordered."""
    made: Function = numba.njit(nogil=True, error_model="numpy", fastmath=_FLOATS)(function)
    return made


def inlined(function: Function) -> Function:
    """Compile what loops over pixels call, put into each loop whole: one with a call in it goes pixel by pixel."""
    made: Function = numba.njit(nogil=True, error_model="numpy", fastmath=_FLOATS, forceinline=True)(function)
    return made

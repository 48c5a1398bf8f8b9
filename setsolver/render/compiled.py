"""How loops over pixels are compiled: once, and their code kept on disk for all processes that make prints.

They fill arrays of the caller and allocate nothing. Pictures lie in planes, a channel after the other, so that a loop
runs over many pixels at once (``lanes``).
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, Final, TypeVar

import numba
from numpy.typing import NDArray

from setsolver.machine_code import code_folder, keeping

__all__ = ["Floats", "Numbers", "compiled", "inlined"]

Function = TypeVar("Function", bound=Callable[..., Any])
Floats = NDArray[Any]
Numbers = tuple[Any, ...]
_FLOATS = {"reassoc", "contract", "nsz", "arcp"}


_HERE: Final = Path(__file__).parent
_MARKS: Final = (b"@compiled", b"@inlined", b"numba")


def compiled(function: Function) -> Function:
    """Compile without the GIL, so that tiles are drawn side by side; sums may be reordered."""
    folder = code_folder(_HERE, _MARKS)
    with keeping(folder):
        made: Function = numba.njit(cache=folder is not None, nogil=True, error_model="numpy", fastmath=_FLOATS)(
            function
        )
    return made


def inlined(function: Function) -> Function:
    """Compile what loops over pixels call, put into each loop whole: one with a call in it goes pixel by pixel."""
    made: Function = numba.njit(nogil=True, error_model="numpy", fastmath=_FLOATS, forceinline=True)(function)
    return made

"""The decorator of all compiled kernels: machine code kept on disk, keyed by the source of every kernel."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TypeVar

import numba
import numpy as np

from setsolver.machine_code import code_folder, keeping
from setsolver.solver.linked import TESTED, KernelCompiler, StepCompiler

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

__all__ = ["NOTHING", "ZERO", "copy_row", "kernel", "step"]

NOTHING = -1e18
"""Stands for minus infinity in kernels: "cannot play the role", "no such set". Real points stay far above it."""
ZERO: Final[int] = np.int64(0)  # type: ignore[assignment]  # a count is an int to Python
"""A count to begin with. A bare 0 has a type of its own to Numba, for which all that it is handed to is made again."""

Function = TypeVar("Function", bound="Callable[..., Any]")

_HERE: Final = Path(__file__).parent
_MARKS: Final = (b"@kernel", b"@step", b"(Bundle)", b"numba")
"""What tells a source of kernels, and of the records and constants that they read, from other files."""
_FLOATS = {"reassoc", "contract", "nsz"}  # sums may be reordered; NaN and infinity keep their meaning
_PLAIN = {"_nrt": False}
"""Kernels make no arrays: what they work on is held by who calls them. So nothing need be counted; counting references,
atomically and on what all threads share, took two fifths of the search."""


def kernel(function: Function) -> Function:
    """Compile a function that Python calls: no GIL while it runs, so threads work side by side."""
    return _compiled(function, called_from_python=True)


def step(function: Function) -> Function:
    """Compile a function that only other kernels call; without a door for Python it compiles much faster."""
    return _compiled(function, called_from_python=False)


def _compiled(function: Function, *, called_from_python: bool) -> Function:
    """Compile on first call. Steps are not kept on disk where kernels hold all of their code."""
    linked = {"pipeline_class": KernelCompiler if called_from_python else StepCompiler} if TESTED else {}
    doors = {"no_cfunc_wrapper": True, "no_cpython_wrapper": not called_from_python}
    folder = code_folder(_HERE, _MARKS)
    kept = folder is not None and (called_from_python or not TESTED)
    with keeping(folder):
        return numba.njit(  # type: ignore[no-any-return]
            cache=kept, nogil=True, error_model="numpy", fastmath=_FLOATS, **_PLAIN, **doors, **linked
        )(function)


@step
def copy_row(source: NDArray[Any], target: NDArray[Any]) -> None:
    """Copy a vector; plain loops compile much faster than slices, which bring their error messages along."""
    for i in range(source.shape[0]):
        target[i] = source[i]

"""The decorator of all compiled kernels: machine code kept on disk, keyed by the source of every kernel.

Numba's own cache looks only at the file of the function itself. Kernels here call each other across files, so a
change in one file must make the code of all stale: the cache folder carries a digest of all kernel sources. It lies
beside the package where that can be written, else in the user's cache folder; where neither can, kernels are compiled
anew in each process and nothing fails.
"""

from __future__ import annotations

import hashlib
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TypeVar

import numba
import numpy as np

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

_HERE = Path(__file__).parent
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
    before = numba.config.CACHE_DIR
    folder = _cache_folder()
    kept = folder is not None and (called_from_python or not TESTED)
    try:
        numba.config.CACHE_DIR = folder or before
        made = numba.njit(cache=kept, nogil=True, error_model="numpy", fastmath=_FLOATS, **_PLAIN, **doors, **linked)(
            function
        )
    finally:
        numba.config.CACHE_DIR = before
    return made  # type: ignore[no-any-return]


def _cache_folder() -> str | None:
    """Return the folder for compiled code, made if need be; None where nothing can be written."""
    if "folder" not in _KNOWN:
        name = f"setsolver-kernels-{_digest()}"
        places = [p / name for p in (_HERE / "__pycache__", *_users_cache())]
        _KNOWN["folder"] = next((str(place) for place in places if _writable(place)), None)
    return _KNOWN["folder"]


_KNOWN: dict[str, str | None] = {}


def _users_cache() -> list[Path]:
    """Return the user's cache folder, nothing where nobody says where the user is at home."""
    given = os.environ.get("XDG_CACHE_HOME")
    try:
        return [Path(given) if given else Path.home() / ".cache"]
    except RuntimeError:
        return []


def _digest() -> str:
    digest = hashlib.sha256(f"{numba.__version__} {sys.version}".encode())
    for source in sorted(_HERE.glob("*.py")):
        text = source.read_bytes()
        if b"@kernel" in text or b"@step" in text or b"numba" in text:
            digest.update(text)
    return digest.hexdigest()[:16]


def _writable(folder: Path) -> bool:
    try:
        folder.mkdir(parents=True, exist_ok=True)
        probe = folder / f"probe-{os.getpid()}"
        probe.touch()
        probe.unlink()
    except OSError:
        return False
    return True


@step
def copy_row(source: NDArray[Any], target: NDArray[Any]) -> None:
    """Copy a vector; plain loops compile much faster than slices, which bring their error messages along."""
    for i in range(source.shape[0]):
        target[i] = source[i]

"""Where compiled machine code is kept on disk, keyed by the source of all that was compiled together.

Numba's own cache looks only at the file of the function itself. Kernels call each other across files, so a change in
one file must make the code of all stale: the cache folder carries a digest of all their sources. It lies beside the
package where that can be written, else in the user's cache folder; where neither can, kernels are compiled anew in each
process and nothing fails.
"""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from pathlib import Path

import numba

__all__ = ["code_folder", "keeping"]


@cache
def code_folder(package: Path, marks: Sequence[bytes]) -> str | None:
    """Return the folder for the compiled code of a package, made if need be; None where nothing can be written.

    Parameters
    ----------
    marks : a source file with one of these in it is part of what is compiled.
    """
    name = f"setsolver-kernels-{_digest(package, marks)}"
    places = [place / name for place in (package / "__pycache__", *_users_cache())]
    return next((str(place) for place in places if _writable(place)), None)


@contextmanager
def keeping(folder: str | None) -> Iterator[None]:
    """Within the block, let functions that are made for Numba's cache keep their code in a folder."""
    before = numba.config.CACHE_DIR
    try:
        numba.config.CACHE_DIR = folder or before
        yield
    finally:
        numba.config.CACHE_DIR = before


def _users_cache() -> list[Path]:
    """Return the user's cache folder, nothing where nobody says where the user is at home."""
    given = os.environ.get("XDG_CACHE_HOME")
    try:
        return [Path(given) if given else Path.home() / ".cache"]
    except RuntimeError:
        return []


def _digest(package: Path, marks: Sequence[bytes]) -> str:
    digest = hashlib.sha256(f"{numba.__version__} {sys.version}".encode())
    for source in sorted(package.glob("*.py")):
        text = source.read_bytes()
        if any(mark in text for mark in marks):
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

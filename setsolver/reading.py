"""Documents of a user read within bounds: a path may lead to a device that never ends."""

from __future__ import annotations

from pathlib import Path

from setsolver.errors import BadInput

__all__ = ["read_within"]


def read_within(path: Path, most: int) -> bytes:
    """Return a file's bytes.

    Parameters
    ----------
    most : bytes that such a document may have.

    Raises
    ------
    BadInput
        Where it has more. OSError : where it cannot be read.
    """
    with path.open("rb") as stream:
        data = stream.read(most + 1)
    if len(data) > most:
        raise BadInput(f"{path}: more than {most:,} bytes, which no document of this kind has; name another file")
    return data

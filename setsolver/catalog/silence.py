"""Decoders kept from writing to the terminal: they name no file, or a raw name that may hold codes which steer it."""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress

__all__ = ["silent"]

_STDERR = 2
_change = threading.Lock()
_inside: list[int] = []
"""The real stream, once for each block that is entered and not yet left."""


@contextmanager
def silent() -> Iterator[None]:
    """Within the block, let nothing that C libraries write to stderr arrive; what matters ends in an error.

    The stream is the process's, so what other threads say there meanwhile is lost, too.
    """
    with _change:
        if not _inside:
            with suppress(AttributeError, OSError, ValueError):
                sys.stderr.flush()
            nowhere = os.open(os.devnull, os.O_WRONLY)
            try:
                real = os.dup(_STDERR)
                os.dup2(nowhere, _STDERR)
            finally:
                os.close(nowhere)
        else:
            real = _inside[0]
        _inside.append(real)
    try:
        yield
    finally:
        with _change:
            _inside.pop()
            if not _inside:
                os.dup2(real, _STDERR)
                os.close(real)

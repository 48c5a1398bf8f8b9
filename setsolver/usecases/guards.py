"""What a worker process keeps to, whatever a file makes a decoder do: so much memory, and so much time for each file.

Headers are judged before (``catalog.limits``); here is what catches the rest, which no header tells. A file that a
worker ends over is refused by the scan, and another worker takes its place. In the process of the scan itself (no
workers) and in threads of a cluster's workers nothing of this can be had.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from setsolver.catalog.limits import most_bytes

try:
    import resource
except ImportError:  # Windows
    resource = None  # type: ignore[assignment]

__all__ = ["OUT_OF_TIME", "limit_memory", "silence", "timed"]

OUT_OF_TIME = -signal.SIGPROF if hasattr(signal, "SIGPROF") else None
"""Exit code of a process that its timer ended; None where there is no such timer (Windows)."""
_BESIDE = 400_000_000
"""Bytes that measuring takes beside decoding, and what the C library keeps."""


def limit_memory() -> None:
    """Let this process have no more memory than it has now and one file may take; to be called when all is loaded.

    Asking for more then fails, and the decoder says so. Only Linux counts all of a process's own memory (getrlimit(2),
    RLIMIT_DATA); elsewhere nothing happens.
    """
    held = _held()
    if resource is None or held is None:
        return
    _, hard = resource.getrlimit(resource.RLIMIT_DATA)
    most = held + most_bytes() + _BESIDE
    resource.setrlimit(resource.RLIMIT_DATA, (most if hard == resource.RLIM_INFINITY else min(most, hard), hard))


def _held() -> int | None:
    try:
        lines = Path("/proc/self/status").read_text("ascii", "replace").splitlines()
    except OSError:
        return None
    return next((int(line.split()[1]) * 1024 for line in lines if line.startswith("VmData:")), None)


@contextmanager
def timed(seconds: float) -> Iterator[None]:
    """End this process where the block takes more than so many seconds of its processors.

    The system does it (SIGPROF, setitimer(2)): code that never comes back to Python is ended, too. Waiting for a slow
    disk does not count. Where there is no such timer nothing happens.
    """
    if OUT_OF_TIME is None:
        yield
        return
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)


def silence() -> None:
    """Let decoders of this process say nothing: they name no file, or a raw name that may steer the terminal.

    What matters of it ends in a refusal with its reason.
    """
    with suppress(OSError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, 2)
        os.close(nowhere)

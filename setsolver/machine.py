"""How much of this machine may be used."""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from typing import Any, Final

__all__ = ["cores", "one_blas_thread"]


def cores() -> int:
    """Return how many processors this process may run on: not all of them within a container or under taskset.

    Linux tells (sched_getaffinity(2)); elsewhere all processors count.
    """
    if hasattr(os, "sched_getaffinity"):
        return max(1, len(os.sched_getaffinity(0)))
    return os.cpu_count() or 1


_guard: Final = threading.Lock()
_blocks: Final[list[Any]] = []
"""Who sets the threads back, once for each block that is open: the first to begin has found how many there were."""


@contextmanager
def one_blas_thread() -> Iterator[None]:
    """Give a block within which linear algebra runs on one thread, however many there are.

    Threads of small or step by step work wait for each other: where other work keeps the cores busy, a decomposition
    that takes half a second alone took more than a minute on two. Their number is one for the whole process: of blocks
    on several threads, the last to end sets it back.
    """
    with _guard:
        _blocks.append(_blocks[-1] if _blocks else _libraries().limit(limits=1, user_api="blas"))
    try:
        yield
    finally:
        with _guard:
            limits = _blocks.pop()
            if not _blocks:
                limits.restore_original_limits()


@cache
def _libraries() -> Any:
    """Return who sets their threads; looking for them takes milliseconds."""
    import scipy.linalg  # noqa: F401, PLC0415 - brings one of its own, which must be there to be found
    from threadpoolctl import ThreadpoolController  # noqa: PLC0415

    return ThreadpoolController()

"""How much of this machine may be used."""

from __future__ import annotations

import os

__all__ = ["cores"]


def cores() -> int:
    """Return how many processors this process may run on: not all of them within a container or under taskset.

    Linux tells (sched_getaffinity(2)); elsewhere all processors count.
    """
    if hasattr(os, "sched_getaffinity"):
        return max(1, len(os.sched_getaffinity(0)))
    return os.cpu_count() or 1

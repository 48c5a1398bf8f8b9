"""The time of a search for a book, shared out among its steps."""

from __future__ import annotations

import time
from collections.abc import Callable

__all__ = ["Timing"]


class Timing:
    """A clock that starts when it is made.

    Parameters
    ----------
    limit : seconds; None = no end. stop : asked now and then; True ends every step.
    """

    def __init__(self, limit: float | None, stop: Callable[[], bool] | None = None) -> None:
        self.begun = time.perf_counter()
        self.limit = limit
        self.stop = stop or (lambda: False)

    @property
    def seconds(self) -> float:
        """Seconds since the start."""
        return time.perf_counter() - self.begun

    def until(self, share: float) -> float | None:
        """Return the moment at which a share of the time is over, as ``time.perf_counter`` tells it."""
        return None if self.limit is None else self.begun + share * self.limit

    def late(self, share: float = 1.0) -> bool:
        """Return whether it is time to end a step that has until a share of the time."""
        moment = self.until(share)
        return self.stop() or (moment is not None and time.perf_counter() > moment)

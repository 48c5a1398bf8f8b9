"""How long a search for a book goes on: by work, the same in every run, and by time, which ends what takes too long."""

from __future__ import annotations

import time
from collections.abc import Callable

__all__ = ["Timing"]


class Timing:
    """A clock that starts when it is made, and a measure of the work that each step may take.

    Parameters
    ----------
    limit : seconds; None = no end. stop : asked now and then; True ends every step. work : how much each step may take,
    as a multiple of what it takes by itself; None = no end.

    ``hurried`` says whether time ended a step before its work did: another run may then find another book.
    """

    def __init__(self, limit: float | None, stop: Callable[[], bool] | None = None, work: float | None = None) -> None:
        self.begun = time.perf_counter()
        self.limit = limit
        self.stop = stop or (lambda: False)
        self.work = work
        self.hurried = False

    @property
    def seconds(self) -> float:
        """Seconds since the start."""
        return time.perf_counter() - self.begun

    def allowed(self, work: float) -> float | None:
        """Return the work that a step may take which takes so much by itself."""
        return None if self.work is None else work * self.work

    def until(self, share: float) -> float | None:
        """Return the moment at which a share of the time is over, as ``time.perf_counter`` tells it."""
        return None if self.limit is None else self.begun + share * self.limit

    def late(self, share: float = 1.0) -> bool:
        """Return whether it is time to end a step that has until a share of the time."""
        moment = self.until(share)
        over = moment is not None and time.perf_counter() > moment
        self.hurried |= over
        return over or self.stop()

"""What is worked out just now, in words, for pages that wait for it."""

from __future__ import annotations

from math import isfinite

from setsolver.output.view.words import number

__all__ = ["Work"]


class Work:
    """Told by whoever works, read by any thread. says : "" where nothing is worked out. changes : counts words."""

    def __init__(self) -> None:
        self.says, self.changes = "", 0

    def tell(self, says: str) -> None:
        """Say what is being done now."""
        if says != self.says:
            self.says = says
            self.changes += 1

    def scan(self, what: str, done: int, total: int) -> None:
        """Say how far a scan is; see ``Progress`` of scans."""
        self.tell(f"The folder is scanned again, {what}: {done} of {total}")

    def progress(self, score: float, bound: float) -> None:
        """Say how far a search is."""
        if isfinite(score) and isfinite(bound):
            self.tell(f"The best set so far has {number(score)} points; none has more than {number(bound)}")
        elif isfinite(bound):
            self.tell(f"No set so far; none has more than {number(bound)} points")

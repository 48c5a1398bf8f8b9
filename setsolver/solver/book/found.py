"""What a search for a book gives: the book, how good it is proven to be, and what was learned on the way."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from setsolver.domain.book import Spread

__all__ = ["BookFound"]


@dataclass(frozen=True)
class BookFound:
    """What was found.

    spreads : the book in order, empty where there is none. score : its points. bound : no book has more. status :
    "optimal", "feasible", "infeasible" or "unknown". clash : rules that cannot all be kept, by their keys. columns :
    spreads that were proven. pool : those, for further questions. greedy : points of the book made chapter by chapter,
    None where that ended in a clash. relaxed : the value of the linear program, where it was reached. hurried : time
    ended the search before its work was done, so that another run may find another book.
    """

    spreads: tuple[Spread, ...]
    score: float
    bound: float
    status: str
    seconds: float
    clash: tuple[str, ...] = ()
    columns: int = 0
    pool: tuple[Spread, ...] = field(default=(), repr=False)
    greedy: float | None = None
    relaxed: float | None = None
    hurried: bool = False

    @property
    def gap(self) -> float:
        """Points by which a better book might exist."""
        return max(0.0, self.bound - self.score)

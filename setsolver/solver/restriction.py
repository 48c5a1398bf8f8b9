"""What a question adds to the rules of a problem: differ from earlier sets, keep to some looks, leave frames out."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from setsolver.domain.problem import Floats

__all__ = ["Restriction"]


@dataclass(frozen=True)
class Restriction:
    """What a question adds to the rules of the problem.

    Attributes
    ----------
    differ : pairs (frames, most): at most ``most`` of these frames may be in. "Differs by d frames from an
        earlier set of N" is (its frames, N - d).
    boxes : the look must lie in one of these boxes (low [K], high [K]); empty = anywhere. Ends may be infinite.
    barred : frames that may not be in.
    """

    differ: tuple[tuple[frozenset[int], int], ...] = ()
    boxes: tuple[tuple[Floats, Floats], ...] = ()
    barred: frozenset[int] = field(default_factory=frozenset)

    def allows(self, frames: Iterable[int]) -> bool:
        """Return whether these frames may be in together, looks and the rules of the problem aside."""
        inside = frozenset(frames)
        return not inside & self.barred and all(len(inside & some) <= most for some, most in self.differ)

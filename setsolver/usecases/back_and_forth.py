"""Changes of a session as they are taken back and made again."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from setsolver.domain.brief import Brief
from setsolver.usecases.gone import without_gone
from setsolver.usecases.looking import Said, Seen

__all__ = ["Step", "thinned"]

_MOST_SEEN = 2
"""Changes in a row that are taken back, or made again, without working out anew what is known of the catalog then."""


@dataclass(frozen=True)
class Step:
    """One change: the brief before and after it, and what was said of frames before and with it.

    seen : the catalog as it is where this step leads next, None where that is to be worked out.
    """

    before: Brief
    after: Brief
    unsaid: Said = field(default_factory=dict)
    said: Said = field(default_factory=dict)
    seen: Seen | None = None

    def among(self, there: set[str]) -> Step:
        """Return the change without what it names of frames that are not there any more."""
        before, after = (without_gone(brief, there)[0] for brief in (self.before, self.after))
        unsaid, said = (
            {path: names for path, names in one.items() if path in there} for one in (self.unsaid, self.said)
        )
        return Step(before, after, unsaid, said)

    def settled(self) -> Step:
        """Return the change without a catalog some of whose frames are not measured yet."""
        return replace(self, seen=None) if self.seen is not None and self.seen.unmeasured else self


def thinned(steps: list[Step]) -> list[Step]:
    """Return steps of which only the last know the catalog that they lead to."""
    return [*(replace(one, seen=None) if one.seen else one for one in steps[:-_MOST_SEEN]), *steps[-_MOST_SEEN:]]

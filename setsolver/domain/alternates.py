"""What kinds of sets there are beside the best one, and what each is called: the one table of them."""

from __future__ import annotations

from typing import Final, NamedTuple

__all__ = ["ALTERNATES", "AlternateKind", "kind_said"]


class AlternateKind(NamedTuple):
    """short : in a list. asks : what set is meant, as the rest of "The best set ..."."""

    short: str
    asks: str


ALTERNATES: Final = {
    "differs": AlternateKind("the next best", ""),
    "look": AlternateKind(
        "another look", "in another look (at least one of its tones lies a whole reach from that of set 1)"
    ),
    "lead": AlternateKind("another lead frame", "without the lead frame of set 1 (its best paid {first} frame)"),
    "less_effort": AlternateKind("less correction", "among all with no more correction than it has,"),
    "more_effort": AlternateKind("more correction", "among all with no less correction than it has,"),
}
"""By the name that the engine gives them. Whatever the kind, a set also differs from all sets before it by a number of
frames: without saying so "the best set with another lead" would be untrue beside a better one with that same lead."""

OTHERS: Final = {
    "best": "The best set under this brief",
    "graded": "The set as given",
    "swap": "The set with one frame changed",
}


def kind_said(kind: str, differ: int, first: str) -> str:
    """Return truly what a set is.

    Parameters
    ----------
    differ : by how many frames it differs, at least, from every set before it. first : the role of the lead frame.
    """
    if kind not in ALTERNATES:
        return OTHERS.get(kind, kind)
    asks = ALTERNATES[kind].asks.format(first=first)
    by = "" if differ == 1 else f" by {differ} frames or more"
    other = f"that differs from every set before it{by}"
    return " ".join(part for part in ("The best set", asks, other) if part)

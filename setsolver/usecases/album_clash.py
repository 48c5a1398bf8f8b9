"""Why there is no album, rule by rule, with what to change."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from setsolver.domain.outcome import Clashing
from setsolver.rules.words import count

if TYPE_CHECKING:
    from setsolver.solver.book import BookFound
    from setsolver.usecases.album_book import Event

__all__ = ["clashes_of"]


def clashes_of(event: Event, found: BookFound) -> tuple[Clashing, ...]:
    """Return the rules that could not be kept together, in words with a way out."""
    return tuple(_clash(event, rule) for rule in found.clash)


def _clash(event: Event, rule: str) -> Clashing:
    word, _, number = rule.partition(" ")
    wish = event.wish
    if word == "chapter":
        return _of_chapter(event, int(number))
    if word == "include":
        path = event.snapshot.frames[int(number)].path
        return Clashing(
            rule=rule,
            says=f"{path} must be in (include)",
            way_out="free it, or bar what it is a twin of, or allow more spreads",
        )
    if word == "spreads":
        return Clashing(
            rule=rule,
            says=f"at least {count(wish.spreads[0], 'spread')}",
            way_out="ask for fewer spreads, or let repeats.twins be higher so that more frames may be in one book",
        )
    if rule.startswith("density"):
        least = "least" in rule
        return Clashing(
            rule=rule,
            says=f"{wish.density[0]:g} to {wish.density[1]:g} pictures a spread on average",
            way_out=f"{'lower' if least else 'raise'} {'the least' if least else 'the most'} under density, or ask for "
            f"{'fewer' if least else 'more'} spreads",
        )
    if word in ("opening", "closing"):
        return _of_end(event, word)
    return Clashing(
        rule="sequence",
        says="the spreads that were proven in the time given make no book that keeps every rule together",
        way_out="give more time with --time-limit, or allow more spreads or kinds",
    )


def _of_chapter(event: Event, chapter: int) -> Clashing:
    frames = event.chapters[chapter]
    book = event.book
    rows = np.isin(book.problem.frame, frames)
    usable = len(np.unique(book.problem.frame[rows]))
    return Clashing(
        rule=f"chapter {chapter + 1}",
        says=f"chapter {chapter + 1} ({count(len(frames), 'frame')}, {usable} of use) must be told",
        way_out=f"join it to a neighbour with chapters = {max(1, len(event.chapters) - 1)} under [album], or allow a "
        "kind with fewer pictures, such as quiet",
    )


def _of_end(event: Event, word: str) -> Clashing:
    end = event.wish.opening if word == "opening" else event.wish.closing
    chapter = "first" if word == "opening" else "last"
    asks = [f"a {end.role} frame"] * bool(end.role) + [end.match] * bool(end.match)
    kinds = f" on {' or '.join(end.kinds)}" if end.kinds else ""
    what = " that is ".join(part for part in asks if part) or "a spread"
    return Clashing(
        rule=word,
        says=f"the {word} shows {what}{kinds}, and the {chapter} chapter has none that fits",
        way_out=f"take role, match or kinds out of {word} under [album], say the scale of a frame "
        "(setsolver frames --set), or lower min_ppi",
    )

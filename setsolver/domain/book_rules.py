"""The rules of a book, checked by code that knows no solver."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from math import ceil, floor
from typing import Final

import numpy as np

from setsolver.domain.book import Book, Spread, kind_problem, spread_of
from setsolver.domain.validate import Broken, broken

__all__ = ["SPARE", "average_ends", "broken_book", "broken_sequence"]

SPARE: Final = 1e-9
"""By which an average may miss the density: 5/3 is no number of 64 bits."""


def broken_book(book: Book, spreads: Sequence[Spread]) -> list[Broken]:
    """Return every rule that a book breaks; empty for a valid book. Knows no solver."""
    own = [
        rule._replace(found=f"{rule.found} (spread {number})")
        for number, spread in enumerate(spreads)
        for rule in _broken_spread(book, spread)
    ]
    return own + broken_sequence(book, spreads)


def broken_sequence(book: Book, spreads: Sequence[Spread]) -> list[Broken]:
    """Return every rule that spreads break together, each being right by itself."""
    found: list[Broken] = []
    least, most = book.spreads
    pictures = sum(len(spread.rows) for spread in spreads)
    if not least <= len(spreads) <= most:
        found.append(Broken("spreads", str(len(spreads))))
    if spreads and not _dense(book, pictures, len(spreads)):
        found.append(Broken("density", f"{pictures / len(spreads):.3f}"))
    found += _broken_frames(book, spreads) + _broken_order(book, spreads)
    return found


def _dense(book: Book, pictures: int, spreads: int) -> bool:
    return book.density[0] - SPARE <= pictures / spreads <= book.density[1] + SPARE


def average_ends(book: Book) -> tuple[Fraction, Fraction]:
    """Return the least and the most pictures a spread that a book of allowed length has where it keeps the density.

    Whoever keeps an average between them, as these whole numbers of pictures over whole numbers of spreads, keeps the
    density to the last bit, and bars no book that keeps it. Where no book can, the least is above the most.
    """
    low, high = (Fraction(bound) for bound in book.density)
    kept = [
        Fraction(pictures, spreads)
        for spreads in range(max(1, book.spreads[0]), book.spreads[1] + 1)
        for pictures in (floor(low * spreads), floor(low * spreads) + 1, ceil(high * spreads) - 1, ceil(high * spreads))
        if _dense(book, pictures, spreads)
    ]
    return (min(kept), max(kept)) if kept else (Fraction(1), Fraction(0))


def _broken_spread(book: Book, spread: Spread) -> list[Broken]:
    problem = kind_problem(book, book.kinds[spread.kind], np.array(spread.rows))
    rules = broken(problem, range(len(spread.rows)), spread.roles, spread.look)
    if spread.last > spread.first + 1 or book.chapter[spread.first] != book.chapter[spread.last] or spread.first < 0:
        rules.append(Broken("passages", f"{spread.first} to {spread.last}"))
    if abs(spread_of(book, spread.kind, spread.rows, spread.roles, spread.look).score - spread.score) > 1e-6:
        rules.append(Broken("score", f"{spread.score} is not what its pictures are worth"))
    return rules


def _broken_frames(book: Book, spreads: Sequence[Spread]) -> list[Broken]:
    rows = np.array([row for spread in spreads for row in spread.rows], dtype=np.int64)
    frames = book.problem.frame[rows]
    found = [Broken("frame", f"{frame} is in twice") for frame in np.unique(frames) if (frames == frame).sum() > 1]
    for number, cap in enumerate(book.group_cap):
        labels = book.group[number, rows]
        counts = np.bincount(labels[labels >= 0], minlength=1)
        if counts.max() > cap:
            found.append(Broken(f"group_cap[{number}]", str(counts.max()), f"at most {cap}"))
    there = set(frames.tolist())
    found += [
        Broken("conflict", f"frames {a} and {b}")
        for a, b in book.problem.conflict.tolist()
        if a in there and b in there
    ]
    found += [
        Broken("include", f"frame {frame} is missing") for frame in book.problem.include.tolist() if frame not in there
    ]
    return found + [
        Broken("exclude", f"frame {frame} is in") for frame in book.problem.exclude.tolist() if frame in there
    ]


def _broken_order(book: Book, spreads: Sequence[Spread]) -> list[Broken]:
    found = []
    told = {int(book.chapter[spread.first]) for spread in spreads}
    found += [Broken("chapter", f"{chapter} is not told") for chapter in range(book.chapters) if chapter not in told]
    for number, (a, b) in enumerate(pairwise(spreads)):
        if a.last > b.first or a.order > b.order:
            found.append(Broken("order", f"spread {number + 1} before {number}"))
    for number, (a, b, c) in enumerate(zip(spreads, spreads[1:], spreads[2:], strict=False)):
        if a.kind == b.kind == c.kind:
            found.append(Broken("kind", f"that of spread {number} thrice running"))
    if spreads and not book.may_open(spreads[0]):
        found.append(Broken("opening", "the first spread may not open"))
    if spreads and not book.may_close(spreads[-1]):
        found.append(Broken("closing", "the last spread may not close"))
    return found

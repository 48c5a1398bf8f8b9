"""Small made-up events, and the best book by trying every choice of spreads."""

import itertools

import numpy as np

from setsolver.domain.book import Book, BookKind, book_score, kind_problem, spread_of
from setsolver.domain.book_rules import broken_sequence
from setsolver.domain.problem import Problem
from setsolver.domain.validate import broken

KINDS = (
    BookKind("single", (0,), (1,), (1.0,), full=True),
    BookKind("quiet", (1,), (1,), (1.0,), full=False, empty=True),
    BookKind("pair", (0, 2), (1, 1), (0.7, 0.3), full=True),
)


def event(seed, frames=9, passages=3, chapters=2, spreads=(2, 3), **changes):
    """Frames in order of time with gains in three slots, two tone axes, moments, twins, and people on half of them."""
    rng = np.random.default_rng(seed)
    passage = np.sort(np.concatenate([np.arange(passages), rng.integers(0, passages, frames - passages)]))
    chapter = np.sort(np.concatenate([np.arange(chapters), rng.integers(0, chapters, passages - chapters)]))
    gain = rng.uniform(20, 100, (frames, 3))
    gain[rng.random((frames, 3)) < 0.2] = np.nan
    problem = Problem.from_arrays(
        {
            "size": 1,
            "frame": np.arange(frames),
            "gain": gain,
            "tone": rng.uniform(0, 50, (frames, 2)),
            "tone_weight": [0.3, 0.5],
            "tone_slack": [3, 5],
            "tone_reach": [30, np.inf],
            "conflict": [sorted(rng.choice(frames, 2, replace=False)) for _ in range(2)],
            "group": [rng.integers(-1, 5, frames)],
            "group_cap": [1],
        }
    )
    shows = rng.random(frames) < 0.5
    usual = np.array([shows[chapter[passage] == number].mean() for number in range(chapters)])
    fields = {
        "density": (1.0, 1.8),
        "group": problem.group,
        "group_cap": problem.group_cap,
        "shows": shows,
        "usual": usual,
        "pace": 15.0,
        "people": 10.0,
        "empty": 12.0,
        "opens": np.array([True, False, True]),
        **changes,
    }
    return Book(fields.pop("problem", problem), KINDS, passage, chapter, np.arange(frames), spreads, **fields)


def every_spread(book):
    """Every spread that keeps the rules by itself, in the order of the book."""
    found = []
    for number, kind in enumerate(book.kinds):
        roles = [slot for slot, count in enumerate(kind.counts) for _ in range(count)]
        for rows in itertools.permutations(range(len(book.passage)), kind.size):
            first, last = min(book.passage[list(rows)]), max(book.passage[list(rows)])
            if last > first + 1 or book.chapter[first] != book.chapter[last]:
                continue
            if np.isnan(
                [book.problem.gain[row, kind.slots[role]] for row, role in zip(rows, roles, strict=True)]
            ).any():
                continue
            try:
                spread = spread_of(book, number, rows, roles)
            except ValueError:
                continue  # no look is in reach
            problem = kind_problem(book, kind, np.array(rows))
            if not broken(problem, range(len(rows)), roles, spread.look):
                found.append(spread)
    return sorted(found, key=lambda spread: spread.order)


def best_by_trying(book, spreads=None):
    """The points of the best book, of all spreads or of these in order; None where there is none."""
    best = None
    spreads = every_spread(book) if spreads is None else spreads
    for count in range(book.spreads[0], book.spreads[1] + 1):
        for chosen in itertools.combinations(spreads, count):
            frames = [frame for spread in chosen for frame in spread.frames]
            if not set(book.problem.include.tolist()) <= set(frames):
                continue
            if len(set(frames)) < len(frames) or any(a.last > b.first for a, b in itertools.pairwise(chosen)):
                continue
            score = book_score(book, chosen)
            if (best is None or score > best) and not broken_sequence(book, chosen):
                best = score
    return best

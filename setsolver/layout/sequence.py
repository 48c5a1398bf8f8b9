"""The order in which picture editors would show a set: what opens, leads on, stands in the middle, and ends."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.problem import Floats

__all__ = ["LONGEST", "STORY", "WALL", "Shown", "Taste", "in_sequence"]

LONGEST: Final = 12
"""Prints up to which the best of all orders is found; a longer set keeps the order of time."""


TIE: Final = 1e-6
"""What the order that they are given in counts beside all else: it decides between equals."""


class Shown(NamedTuple):
    """What counts of the prints of a set, n of them, in the order of time (of names where a time is missing).

    wide, close : [n], odds of each scale, 0 to 1. tone : [n], L* of the mid tone in hundredths. appeal : [n], 0 to 1.
    alike : [n, n], cosines. timed : whether all have a time; names tell editors nothing.
    """

    wide: Floats
    close: Floats
    tone: Floats
    appeal: Floats
    alike: Floats
    timed: bool = True


class Taste(NamedTuple):
    """What an order is worth, in logits of being chosen (benchmarks/taste/fit_order.py).

    time : for each print, its rank by time times its place, both from -0.5 to 0.5. opens_wide, opens_close : for the
    odds of the first print. ends_light, ends_strong : for tone and appeal of the last. beside : for how alike two
    neighbours are. apart, middle : for how unlike the others, and how strong, the print in the middle is, in sets of an
    odd number.
    """

    time: float
    opens_wide: float = 0.0
    opens_close: float = 0.0
    ends_light: float = 0.0
    ends_strong: float = 0.0
    beside: float = 0.0
    apart: float = 0.0
    middle: float = 0.0


STORY: Final = Taste(time=1.3, opens_wide=2.4, opens_close=-1.8, ends_light=-1.0, ends_strong=4.5)
"""As editors, vision-language models, order stories of five."""
WALL: Final = Taste(time=0.6, apart=8.9, middle=2.7)
"""As they hang three side by side."""


def in_sequence(shown: Shown, taste: Taste) -> tuple[int, ...]:
    """Return the best order of the prints: exact, by what is left and what came last.

    M. Held and R. M. Karp, "A dynamic programming approach to sequencing problems", J. SIAM 10 (1962).

    Raises
    ------
    ValueError
        For more than ``LONGEST`` prints.
    """
    count = len(shown.wide)
    if count > LONGEST:
        raise ValueError(f"{count} prints, at most {LONGEST} can be put in sequence")
    at_place, beside = _places(shown, taste), taste.beside * shown.alike
    best = np.full((1 << count, count), -np.inf)
    came = np.zeros((1 << count, count), np.int64)
    for one in range(count):
        best[1 << one, one] = at_place[one, 0]
    for hung in range(1, 1 << count):
        place = hung.bit_count()
        if place == count:
            continue
        for one in range(count):
            if hung >> one & 1:
                continue
            ways = best[hung] + beside[:, one]
            last = int(ways.argmax())
            after = hung | 1 << one
            worth = ways[last] + at_place[one, place]
            if worth > best[after, one]:
                best[after, one], came[after, one] = worth, last
    return _traced(best, came, count)


def _places(shown: Shown, taste: Taste) -> Floats:
    """Return what each print is worth at each place, [n, n]."""
    count = len(shown.wide)
    line = np.linspace(-0.5, 0.5, count) if count > 1 else np.zeros(count)
    worth: Floats = ((taste.time if shown.timed else 0.0) + TIE) * line[:, None] * line
    if count:
        worth[:, 0] += taste.opens_wide * shown.wide + taste.opens_close * shown.close
        worth[:, -1] += taste.ends_light * shown.tone + taste.ends_strong * shown.appeal
    if count % 2:
        worth[:, count // 2] += taste.apart * (1 - shown.alike.mean(axis=1)) + taste.middle * shown.appeal
    return worth


def _traced(best: Floats, came: NDArray[np.int64], count: int) -> tuple[int, ...]:
    hung, order = (1 << count) - 1, [int(best[-1].argmax())] if count else []
    while len(order) < count:
        one = order[-1]
        order.append(int(came[hung, one]))
        hung &= ~(1 << one)
    return tuple(reversed(order))

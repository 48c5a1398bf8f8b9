"""The order in which picture editors would show a set: what opens, leads on, stands in the middle, and ends."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np

from setsolver.domain.problem import Floats

__all__ = ["STORY", "WALL", "Shown", "Taste", "in_sequence"]

TIE: Final = 1e-6
"""What the order that they are given in counts beside all else: it decides between equals."""


class Shown(NamedTuple):
    """What counts of the prints of a set, n of them, in the order of time (of names where a time is missing).

    wide, close : [n], odds of each scale, 0 to 1. tone : [n], L* of the mid tone in hundredths. appeal : [n], 0 to 1.
    opening, ending : [n], how much each looks like one, in logits. people : [n], chance that each shows any, 0 to 1.
    alike : [n, n], cosines. timed : whether all have a time; names tell editors nothing.
    """

    wide: Floats
    close: Floats
    tone: Floats
    appeal: Floats
    opening: Floats
    ending: Floats
    people: Floats
    alike: Floats
    timed: bool = True


class Taste(NamedTuple):
    """What an order is worth, in logits of being preferred (benchmarks/taste/fit_ranked.py).

    time : for each print, its rank by time times its place, both from -0.5 to 0.5. opens_wide, opens_close,
    opens_strong, opens_apart : for the first print's odds, its appeal, and how unlike the others it is. ends_light,
    ends_strong, ends_apart : for tone, appeal and the same of the last. opens_seen, ends_seen : for what looks like an
    opening in the first, and like an ending in the last (fit_order.py there). later_people, later_ending : for each
    print, its place, -0.5 to 0.5, times the chance of people in it, and times how much it looks like an ending. apart,
    middle : for how unlike the others, and how strong, the print in the middle is, in sets of an odd number. Nothing is
    paid for neighbours: editors who order and editors who judge want the opposite there (benchmarks/taste).
    """

    time: float
    opens_wide: float = 0.0
    opens_close: float = 0.0
    opens_strong: float = 0.0
    opens_apart: float = 0.0
    ends_light: float = 0.0
    ends_strong: float = 0.0
    ends_apart: float = 0.0
    opens_seen: float = 0.0
    ends_seen: float = 0.0
    later_people: float = 0.0
    later_ending: float = 0.0
    apart: float = 0.0
    middle: float = 0.0


STORY: Final = Taste(
    time=0.77,
    opens_wide=1.2,
    opens_close=-0.7,
    opens_strong=-1.3,
    opens_apart=7.0,
    ends_light=0.35,
    ends_strong=3.8,
    ends_apart=5.5,
    opens_seen=0.48,
    ends_seen=0.7,
    later_people=1.25,
    later_ending=0.33,
)
"""As judges, vision-language models, rank six orders of the same five prints."""
WALL: Final = Taste(time=0.3, opens_wide=0.3, opens_close=-0.6, apart=19.0, middle=6.2)
"""As they hang three side by side."""


def in_sequence(shown: Shown, taste: Taste) -> tuple[int, ...]:
    """Return the best order of the prints, as indexes: each place is filled at once (linear assignment, exact)."""
    from scipy.optimize import linear_sum_assignment  # noqa: PLC0415 - loads long, and help on a verb needs no order

    count = len(shown.wide)
    line = np.linspace(-0.5, 0.5, count) if count > 1 else np.zeros(count)
    worth = ((taste.time if shown.timed else 0.0) + TIE) * line[:, None] * line
    worth += (taste.later_people * shown.people + taste.later_ending * shown.ending)[:, None] * line
    if count:
        unlike = 1 - shown.alike.mean(axis=1)
        worth[:, 0] += taste.opens_wide * shown.wide + taste.opens_close * shown.close
        worth[:, 0] += taste.opens_strong * shown.appeal + taste.opens_apart * unlike + taste.opens_seen * shown.opening
        worth[:, -1] += taste.ends_light * shown.tone + taste.ends_strong * shown.appeal
        worth[:, -1] += taste.ends_apart * unlike + taste.ends_seen * shown.ending
        if count % 2:
            worth[:, count // 2] += taste.apart * unlike + taste.middle * shown.appeal
    prints, places = linear_sum_assignment(worth, maximize=True)
    return tuple(int(one) for one in prints[np.argsort(places)])

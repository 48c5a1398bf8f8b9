"""Slicing arrangements of rectangles: all of them for few sizes, the best of many for more, with a bound on the area.

A slicing (guillotine) arrangement is one rectangle, or two smaller arrangements side by side or one above the other
(Otten, "Automatic floorplan design", 19th Design Automation Conference, 1982). Here the two are exactly a gap apart.
States are how many rectangles of each size are used, so that prints of one size are not told apart.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import product
from math import prod

import numpy as np
from numpy.typing import NDArray

from setsolver.layout.evenness import linked, loose_share, one_sided_share
from setsolver.layout.kind import Size

__all__ = ["Slicings", "cost", "slicings"]

_SHAPE = 1.5
"""Width over height that a cluster tends to: 3:2 (our choice)."""
_OFF_CENTRE, _OFF_SHAPE = 3.0, 0.3
"""Cost of the centre of mass a whole width off the middle, and of a shape e times too long (our choice)."""
_ONE_SIDED, _LOOSE, _APART = 0.25, 0.25, 10.0
"""Cost where nothing has its mirror image, where no neighbours are exactly a gap apart, and where parts hang apart."""
_WORK = 400_000
"""Joins of two smaller arrangements that are looked at in one search; where more would come, states keep fewer."""
_KEPT = (20_000, 2_000, 300, 60, 15, 4)
_HOPELESS = 40
"""How many times more than its even share of the joins a state may keep for a search to be begun at all."""
_SPLITS = 2_500
"""Ways to part the rectangles up to which all are looked at; beyond, only runs of them in order of size."""
_LOOKED_AT = 800
"""Arrangements, the cheapest first, whose evenness is looked at frame by frame."""

_MULTIPLIERS = np.random.default_rng(20261130).integers(1, 2**63, 4, dtype=np.uint64) * np.uint64(2) + np.uint64(1)
"""Odd and drawn once, so that two different shapes share a fingerprint once in about 10^19."""

State = tuple[int, ...]
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class _Kept:
    """Arrangements of one state.

    shape : float64[n, 4], width, height, and the moment of area about the left and the top edge. made : int[n, 5], the
    first part's state and row, the second part's row, way (0 beside, 1 below) and alignment (0, 1, 2).
    """

    shape: Floats
    made: NDArray[np.int64]


@dataclass(frozen=True)
class Slicings:
    """Arrangements of all rectangles, the cheapest first. costs : in that order. complete : none is left out."""

    sizes: tuple[Size, ...]
    gap: float
    states: tuple[State, ...]
    kept: dict[State, _Kept]
    order: NDArray[np.int64]
    costs: Floats
    complete: bool

    @property
    def count(self) -> int:
        """Arrangements that differ in shape or balance."""
        return len(self.order)

    @property
    def _whole(self) -> State:
        return self.states[-1]

    def ranked(self, room: Size | None) -> Iterator[int]:
        """Yield ranks from the cheapest, only those that fit into a room."""
        shape = self.kept[self._whole].shape[self.order]
        fits = (
            np.ones(len(shape), bool)
            if room is None
            else (shape[:, 0] <= room[0] + 1e-9) & (shape[:, 1] <= room[1] + 1e-9)
        )
        yield from (int(rank) for rank in np.flatnonzero(fits if fits.any() else np.ones_like(fits)))

    def cost(self, rank: int) -> float:
        """Return the cost of an arrangement: how little compact and even it is."""
        return float(self.costs[rank])

    def filled(self, rank: int) -> float:
        """Return the share of the whole that rectangles and their gaps fill: at most 1, which no arrangement beats."""
        width, height = self.kept[self._whole].shape[self.order[rank], :2]
        return float(_cells(self.sizes, self._whole, self.gap) / ((width + self.gap) * (height + self.gap)))

    def frames(self, rank: int) -> list[tuple[Size, tuple[float, float]]]:
        """Return each rectangle's size and the place of its top left."""
        return self._unfolded(self._whole, int(self.order[rank]), 0.0, 0.0)

    def _unfolded(self, state: State, row: int, x: float, y: float) -> list[tuple[Size, tuple[float, float]]]:
        if sum(state) == 1:
            return [(self.sizes[state.index(1)], (x, y))]
        first_state, first, second, way, align = (int(v) for v in self.kept[state].made[row])
        one, share = self.states[first_state], align / 2
        two = tuple(a - b for a, b in zip(state, one, strict=True))
        (w1, h1), (w2, h2) = self.kept[one].shape[first, :2], self.kept[two].shape[second, :2]
        if way == 0:
            height = max(h1, h2)
            at = (x, y + (height - h1) * share), (x + w1 + self.gap, y + (height - h2) * share)
        else:
            width = max(w1, w2)
            at = (x + (width - w1) * share, y), (x + (width - w2) * share, y + h1 + self.gap)
        return self._unfolded(one, first, *map(float, at[0])) + self._unfolded(two, second, *map(float, at[1]))


class _TooMuchError(Exception):
    """More joins than the search may look at."""


@lru_cache(maxsize=32)
def slicings(rectangles: tuple[Size, ...], gap: float) -> Slicings:
    """Return the slicing arrangements of rectangles.

    Parameters
    ----------
    rectangles : width and height of each in centimetres, ascending. gap : centimetres between the parts, >= 0.
    """
    sizes = tuple(dict.fromkeys(rectangles))
    whole = tuple(rectangles.count(size) for size in sizes)
    splits = prod((n + 1) * (n + 2) // 2 for n in whole)
    every = splits <= _SPLITS
    states = _all_states(whole) if every else _runs(rectangles, sizes)
    hopeless = _HOPELESS * (_WORK / splits) ** 0.5
    for keep in (kept for kept in _KEPT if kept <= hopeless or kept == _KEPT[-1]):
        try:
            kept, cut = _searched(sizes, states, gap, keep)
        except _TooMuchError:
            continue
        break
    base = _ranking(sizes, whole, kept[whole].shape, gap)
    found = Slicings(sizes, gap, states, kept, np.arange(len(base)), base, complete=every and not cut)
    return _evened(found, base)


def _all_states(whole: State) -> tuple[State, ...]:
    return tuple(sorted(product(*(range(n + 1) for n in whole)), key=lambda s: (sum(s), s)))[1:]


def _runs(rectangles: tuple[Size, ...], sizes: tuple[Size, ...]) -> tuple[State, ...]:
    """Return the states made of neighbours in order of area, of height and of width."""
    found = set()
    for key in (lambda r: (r[0] * r[1], r), lambda r: (r[1], r), lambda r: (r[0], r)):
        row = sorted(rectangles, key=key)
        ends = [(i, j) for i in range(len(row)) for j in range(i + 1, len(row) + 1)]
        found |= {tuple(row[i:j].count(size) for size in sizes) for i, j in ends}
    return tuple(sorted(found, key=lambda s: (sum(s), s)))


def _searched(
    sizes: tuple[Size, ...], states: tuple[State, ...], gap: float, keep: int
) -> tuple[dict[State, _Kept], bool]:
    """Return the arrangements of every state, and whether any was left out; raise where there are too many joins."""
    kept: dict[State, _Kept] = {}
    cut, work, number = False, 0, {state: k for k, state in enumerate(states)}
    counts = np.array(states)
    for state in states:
        splits = _splits(state, states, counts, kept)
        work += sum(6 * len(kept[one].shape) * len(kept[two].shape) for one, two in splits)
        if work > _WORK and keep > _KEPT[-1]:
            raise _TooMuchError
        found = _joined(sizes, splits, kept, number, gap) if splits else _single(sizes, state)
        order = np.argsort(_ranking(sizes, state, found.shape, gap), kind="stable")
        cut = cut or (state != states[-1] and len(order) > keep)
        order = order if state == states[-1] else order[:keep]
        kept[state] = _Kept(found.shape[order], found.made[order])
    return kept, cut


def _splits(
    state: State, states: tuple[State, ...], counts: NDArray[np.int64], kept: dict[State, _Kept]
) -> list[tuple[State, State]]:
    """Return the pairs of known states that make up a state, in both orders."""
    inside = np.flatnonzero((counts <= np.array(state)).all(axis=1) & (counts.sum(axis=1) < sum(state)))
    pairs = ((states[k], tuple(a - b for a, b in zip(state, states[k], strict=True))) for k in inside)
    return [(one, two) for one, two in pairs if two in kept]


def _evened(found: Slicings, base: Floats) -> Slicings:
    """Rank again with the cost of being uneven; only the cheapest can come first, and the rest keep their order."""
    some = min(len(base), _LOOKED_AT)
    total = base[:some] + [_uneven(found.frames(k), found.gap) for k in range(some)]
    first = np.argsort(np.round(total, 12), kind="stable")
    order = np.concatenate([first, np.arange(some, len(base))])
    costs = np.round(np.concatenate([total[first], base[some:]]), 8)
    sure = some == len(base) or float(total.min()) <= base[some]
    return replace(found, order=order, costs=costs, complete=found.complete and sure)


def _uneven(frames: list[tuple[Size, tuple[float, float]]], gap: float) -> float:
    boxes = np.array([(x, y, *size) for size, (x, y) in frames])
    apart = 0.0 if linked(boxes, gap) else _APART
    return _ONE_SIDED * one_sided_share(boxes) + _LOOSE * loose_share(boxes, gap) + apart


def cost(shape: Floats, area: float, cells: float, gap: float) -> Floats:
    """Return how little compact, balanced and well shaped arrangements are; 0 is perfect, float64[n].

    The area that rectangles and gaps leave empty as a share of what they fill, plus the distance of the centre of mass
    from the middle in shares of width and height, plus how far width over height is from 3:2.
    """
    width, height = shape[:, 0], shape[:, 1]
    empty = (width + gap) * (height + gap) / cells - 1
    off = np.hypot(shape[:, 2] / area / width - 0.5, shape[:, 3] / area / height - 0.5)
    result: Floats = empty + _OFF_CENTRE * off + _OFF_SHAPE * np.abs(np.log(width / height / _SHAPE))
    return result


def _ranking(sizes: tuple[Size, ...], state: State, shape: Floats, gap: float) -> Floats:
    """Return the cost with ties broken towards a heavier left, then a heavier lower side."""
    area = sum(n * w * h for n, (w, h) in zip(state, sizes, strict=True))
    ranked = np.round(cost(shape, area, _cells(sizes, state, gap), gap), 9)
    result: Floats = ranked + 1e-12 * (shape[:, 2] / shape[:, 0] - shape[:, 3] / shape[:, 1]) / area
    return result


def _cells(sizes: tuple[Size, ...], state: State, gap: float) -> float:
    """Return the area of rectangles that each carry a gap on two sides: no whole with its gap is smaller."""
    return sum(n * (w + gap) * (h + gap) for n, (w, h) in zip(state, sizes, strict=True))


def _single(sizes: tuple[Size, ...], state: State) -> _Kept:
    width, height = sizes[state.index(1)]
    shape = np.array([[width, height, width * width * height / 2, width * height * height / 2]])
    return _Kept(shape, np.zeros((1, 5), np.int64))


def _joined(
    sizes: tuple[Size, ...],
    splits: list[tuple[State, State]],
    kept: dict[State, _Kept],
    number: dict[State, int],
    gap: float,
) -> _Kept:
    """Return every way to put two smaller arrangements together, each shape and balance once."""
    shapes, made = [], []
    for one, two in splits:
        areas = [sum(n * w * h for n, (w, h) in zip(part, sizes, strict=True)) for part in (one, two)]
        first, second = kept[one].shape[:, None, :], kept[two].shape[None, :, :]
        rows = np.indices((first.shape[0], second.shape[1])).reshape(2, -1)
        for way, align in product((0, 1), (0, 1, 2)):
            shapes.append(_put(first, second, areas, way, align / 2, gap).reshape(-1, 4))
            how = np.empty((rows.shape[1], 5), np.int64)
            how[:, 0], how[:, 1:3], how[:, 3], how[:, 4] = number[one], rows.T, way, align
            made.append(how)
    shape, hows = np.concatenate(shapes), np.concatenate(made)
    _, unique = np.unique(_fingerprints(shape), return_index=True)
    return _Kept(shape[unique], hows[unique])


def _fingerprints(shape: Floats) -> NDArray[np.uint64]:
    """Return one number for each shape, to 0.1 micrometres: whole rows are slow to sort."""
    whole = np.round(shape * 1e5).astype(np.int64).view(np.uint64)
    result: NDArray[np.uint64] = (whole * _MULTIPLIERS).sum(axis=1, dtype=np.uint64)  # wraps, as hashes do
    return result


def _put(first: Floats, second: Floats, areas: list[float], way: int, share: float, gap: float) -> Floats:
    """Return the shapes of firsts beside (0) or above (1) seconds; float64[n, m, 4]."""
    along, across = (0, 1) if way == 0 else (1, 0)
    long = first[..., along] + gap + second[..., along]
    high = np.maximum(first[..., across], second[..., across])
    out = np.empty((*long.shape, 4))
    out[..., along], out[..., across] = long, high
    out[..., 2 + along] = first[..., 2 + along] + second[..., 2 + along] + areas[1] * (first[..., along] + gap)
    shifts = [(high - part[..., across]) * share for part in (first, second)]
    out[..., 2 + across] = (
        first[..., 2 + across] + second[..., 2 + across] + areas[0] * shifts[0] + areas[1] * shifts[1]
    )
    return out

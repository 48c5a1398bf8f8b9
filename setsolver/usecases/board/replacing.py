"""The ten best replacements of a print: of frames that repeat each other the best, with the others at hand."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, Any

from setsolver.output.view.words import inert, name_of
from setsolver.usecases.board.asked import because
from setsolver.usecases.board.rows import key_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from setsolver.domain.outcome import SetFound
    from setsolver.usecases.board.state import BoardState
    from setsolver.usecases.swaps import SwapFound

__all__ = ["MOST_SWAPS", "swaps"]

MOST_SWAPS = 10
_FIRST, _STEP = 2 * MOST_SWAPS, 3
"""Frames that are looked at for ten that do not repeat each other, and by what more where these are too few."""


def swaps(
    state: BoardState, key: str, *, proven: bool, like: str | None = None, pause: Callable[[], None] = lambda: None
) -> dict[str, Any]:
    """Return the ten best swaps for the place of a frame of the set, or those that one of them stands for.

    Each is the best of its look: what repeats it, as the tray folds frames, is counted.

    Parameters
    ----------
    key : of the frame that hangs there. proven : also solve for the best set with each newcomer, which takes longer.
    like : a frame of the ten; those that repeat it are returned instead. pause : called after each proof.
    """
    frame, best = state.frame(key), state.hung()
    looks = _looks(state, frame.path)
    if like is None:
        found = [(look[0], len(look) - 1) for look in looks[:MOST_SWAPS]]
    else:
        path = state.frame(like).path
        found = [(one, 0) for look in looks if look[0].path == path for one in look[1:]]
    told = []
    for swap, more in found:
        told.append({**_swap(state, best, state.session.proven(swap) if proven else swap), "like": more})
        if proven:
            pause()
    return {"revision": state.revision, "frame": key, "proven": proven, "swaps": told}


def _looks(state: BoardState, path: str) -> list[list[SwapFound]]:
    """Return the swaps that do best, the best first, those that repeat each other together: ten looks, if there are."""
    most = _FIRST
    while True:
        found = list(state.session.swaps(path, most, resolve=False, wished=True))
        looks: defaultdict[str, list[SwapFound]] = defaultdict(list)
        for swap in found:
            looks[state.rows.look_of(state.session.snapshot, key_of(swap.path))].append(swap)
        if len(found) < most or len(looks) >= MOST_SWAPS:
            return [*looks.values()]
        most *= _STEP


def _swap(state: BoardState, best: SetFound, swap: SwapFound) -> dict[str, Any]:
    comes = next(frame for frame in swap.found.frames if frame.path == swap.path)
    return {
        "frame": key_of(swap.path),
        "name": name_of(swap.path),
        "path": inert(swap.path),
        "plays": inert(comes.plays),
        "ppi": comes.ppi,
        "picture": state.pictures.show(comes, state.by_path[comes.path]),
        "points": swap.points,
        "because": because(best, swap.found),
        "best_points": swap.best_points,
        "best_proven": swap.proven,
        "best_because": [] if swap.best is None else because(best, swap.best),
        "others": [] if swap.best is None else _others(best, swap.best, {swap.path, swap.leaves}),
    }


def _others(best: SetFound, other: SetFound, besides: set[str]) -> list[str]:
    """Return the names of who else comes in."""
    there = {frame.path for frame in best.frames} | besides
    return [name_of(frame.path) for frame in other.frames if frame.path not in there]

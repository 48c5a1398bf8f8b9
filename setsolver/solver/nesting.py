"""Which caps nest: rows of labels put into chains in which any two labels are disjoint or one inside the other."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from setsolver.domain.problem import Ints

__all__ = ["nested_chains"]


def nested_chains(frame: Ints, group: Ints, group_cap: Ints) -> tuple[Ints, Ints, Ints]:
    """Return (label [L, M], cap [L], chains [C + 1]): frames and groups as levels, sorted into chains of nested levels.

    Picking greedily under the caps of one chain is exact, because laminar caps are a matroid. Level ranges of chain c
    are chains[c] to chains[c + 1]. Labels are renumbered from 0; -1 stays "in no group".
    """
    rows = [(np.unique(frame, return_inverse=True)[1].astype(np.int64), 1)]
    for labels, cap in zip(group, group_cap, strict=True):
        fresh = np.full(len(labels), -1, dtype=np.int64)
        inside = labels >= 0
        fresh[inside] = np.unique(labels[inside], return_inverse=True)[1]
        rows.append((fresh, int(cap)))
    rows.sort(key=lambda row: -int(row[0].max(initial=0)))  # many labels are fine labels
    chains: list[list[tuple[Ints, int]]] = []
    for row in rows:
        home = next((chain for chain in chains if all(_inside(finer, row[0]) for finer, _ in chain)), None)
        if home is None:
            chains.append([row])
        else:
            home.append(row)
    levels = [row for chain in chains for row in chain]
    ends = np.cumsum([0] + [len(chain) for chain in chains])
    return np.stack([labels for labels, _ in levels]), np.array([cap for _, cap in levels], dtype=np.int64), ends


def _inside(finer: Ints, coarser: Ints) -> bool:
    """True where all renditions of each label of ``finer`` share one label of ``coarser`` (or share being in none)."""
    held = finer >= 0
    order = np.argsort(finer[held], kind="stable")
    fine, coarse = finer[held][order], coarser[held][order]
    return not np.any((fine[1:] == fine[:-1]) & (coarse[1:] != coarse[:-1]))

"""Which caps nest: rows of labels put into chains in which any two labels are disjoint or one inside the other."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from setsolver.domain.problem import Ints

__all__ = ["nested_chains"]

MOST_CHAINS = 8
"""Chains in which a row is tried: of a thousand rows that do not nest, each would else be laid beside all others. The
longest chain alone is made use of, so that a row in a chain of its own costs a weaker bound, never a wrong one."""
_A_FEW = 64


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
    chains: list[list[int]] = []
    mates = [_mates(labels) for labels, _ in rows]
    for number, (labels, _) in enumerate(rows):
        tried = (chain for chain in chains[:MOST_CHAINS] if all(_inside(mates[finer], labels) for finer in chain))
        home = next(tried, None)
        if home is None:
            chains.append([number])
        else:
            home.append(number)
    levels = [rows[number] for chain in chains for number in chain]
    ends = np.cumsum([0] + [len(chain) for chain in chains])
    return np.stack([labels for labels, _ in levels]), np.array([cap for _, cap in levels], dtype=np.int64), ends


def _mates(labels: Ints) -> tuple[Ints, Ints]:
    """Return pairs of renditions that between them join all that share a label."""
    held = np.flatnonzero(labels >= 0)
    order = held[np.argsort(labels[held], kind="stable")]
    same = labels[order[1:]] == labels[order[:-1]]
    return order[:-1][same], order[1:][same]


def _inside(mates: tuple[Ints, Ints], coarser: Ints) -> bool:
    """True where all renditions of each label of a finer row share one label of ``coarser`` (or share being in none).

    mates : of the finer row, see ``_mates``.
    """
    first, second = mates
    head = slice(_A_FEW)  # where rows do not nest, the first few pairs tell
    if np.any(coarser[first[head]] != coarser[second[head]]):
        return False
    return not np.any(coarser[first] != coarser[second])

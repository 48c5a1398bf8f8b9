"""Every valid set of a small assembly, by trying all: an oracle that knows no solver."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, product

import numpy as np

from setsolver.domain.validate import best_look, broken_rules
from setsolver.rules import Assembly


def valid_sets(assembly: Assembly) -> Iterator[tuple[tuple[int, ...], tuple[int, ...], np.ndarray]]:
    """Yield (chosen, roles, look) of every set that breaks no rule, each with its look of least effort."""
    problem = assembly.problem
    playable = [np.flatnonzero(~np.isnan(row)).tolist() for row in problem.gain]
    for chosen in combinations(range(problem.renditions), problem.size):
        look = best_look(problem, chosen)
        if look is None:
            continue
        for roles in product(*(playable[row] for row in chosen)):
            if not broken_rules(problem, chosen, roles, look):
                yield chosen, roles, look


def paths_of(assembly: Assembly) -> set[frozenset[str]]:
    """Return the frames of every valid set, by path."""
    return {frozenset(assembly.renditions[row].frame.path for row in chosen) for chosen, _, _ in valid_sets(assembly)}


__all__ = ["paths_of", "valid_sets"]

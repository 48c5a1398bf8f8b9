"""Which tests are tried over a mutant where a map tells which of them touch its line."""

from __future__ import annotations

__all__ = ["tests_of"]

_OWN, _REST, _OTHERS = 8.0, 90.0, 4.0
"""Seconds of tests, as on the sound code under the tracer, that are tried over one mutant: of its own folder, then more
of these, and of all others. One that survives was not noticed within that time; the whole suite may notice more."""


def tests_of(mirrored: str, touched: set[str], took: dict[str, float]) -> list[list[str]]:
    """Return the tests to try, in rounds, the quickest first: of the same folder, the rest of these, then all others.

    Lines that no tracer sees (compiled kernels, what runs when a module is read) have all quick tests of their folder.

    Parameters
    ----------
    mirrored : the folder of tests of the mutant's own, with the slash at its end.
    touched : the tests that run the mutant's line.
    took : all tests, and the seconds of each.
    """
    own = {test for test in took if test.startswith(mirrored) and (test in touched or not touched)}
    first = _quickest(own, took, _OWN)
    rounds = [first, _quickest(own - set(first), took, _REST), _quickest(touched - own, took, _OTHERS)]
    return [one for one in rounds if one]


def _quickest(tests: set[str], took: dict[str, float], most: float) -> list[str]:
    chosen, total = [], 0.0
    for test in sorted(tests, key=lambda one: (took[one], one)):
        total += took[test]
        if total > most and chosen:
            break
        chosen.append(test)
    return chosen

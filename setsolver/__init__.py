"""Best sets of photographs: measured once, solved under written rules, proven, explained in points.

>>> import setsolver
>>> catalog = setsolver.Catalog.open("demo_catalog")  # doctest: +SKIP
>>> catalog.scan()  # doctest: +SKIP
>>> outcome = setsolver.suggest(catalog, setsolver.Brief.load("wall-three"), alternates=3)  # doctest: +SKIP
>>> outcome.best.score, outcome.best.bound, outcome.best.ledger  # doctest: +SKIP
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from setsolver.api import Brief, Catalog, Session, suggest
    from setsolver.domain.outcome import Outcome
    from setsolver.domain.problem import Problem
    from setsolver.domain.solution import Solution
    from setsolver.errors import SetsolverError
    from setsolver.solver import solve

__version__ = "0.2.0"
__all__ = [
    "Brief",
    "Catalog",
    "Outcome",
    "Problem",
    "Session",
    "SetsolverError",
    "Solution",
    "__version__",
    "solve",
    "suggest",
]

_HOMES = {
    "Brief": "setsolver.api",
    "Catalog": "setsolver.api",
    "Outcome": "setsolver.domain.outcome",
    "Problem": "setsolver.domain.problem",
    "Session": "setsolver.usecases.session",
    "SetsolverError": "setsolver.errors",
    "Solution": "setsolver.domain.solution",
    "solve": "setsolver.solver",
    "suggest": "setsolver.api",
}


def __getattr__(name: str) -> Any:
    """Import a public name when it is first asked for, so that ``setsolver --help`` does not wait for the engine."""
    if name not in _HOMES:
        raise AttributeError(f"module 'setsolver' has no attribute {name!r}; it has {', '.join(__all__)}")
    return getattr(import_module(_HOMES[name]), name)

"""Exact search for the best set. Knows plain arrays only."""

from setsolver.solver.restriction import Restriction
from setsolver.solver.search import Found, search
from setsolver.solver.solve import solve
from setsolver.solver.warm import Warm

__all__ = ["Found", "Restriction", "Warm", "search", "solve"]

"""Exact search for the best set. Knows plain arrays only."""

from setsolver.solver.search import Found, Restriction, search
from setsolver.solver.solve import solve

__all__ = ["Found", "Restriction", "search", "solve"]

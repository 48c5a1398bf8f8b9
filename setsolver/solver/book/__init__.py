"""The exact search behind albums: proven spreads as columns, one sequence of them, and a bound on the whole book."""

from setsolver.solver.book.found import BookFound
from setsolver.solver.book.greedy import greedy_book
from setsolver.solver.book.solve import solve_book

__all__ = ["BookFound", "greedy_book", "solve_book"]

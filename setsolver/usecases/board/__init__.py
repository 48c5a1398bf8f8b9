"""The board: what the page on which a set is chosen asks for and does, one idea a file."""

from setsolver.usecases.board.board import TIME_LIMIT, Board
from setsolver.usecases.board.replacing import MOST_SWAPS

__all__ = ["MOST_SWAPS", "TIME_LIMIT", "Board"]

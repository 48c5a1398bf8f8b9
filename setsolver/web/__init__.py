"""The board as a page on this machine: a thin face over ``usecases.board``."""

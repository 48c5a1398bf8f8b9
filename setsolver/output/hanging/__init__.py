"""The hanging plan: the wall to scale, where hooks go, in which order, and templates at full size."""

from setsolver.output.hanging.drawing import Drawing, draw_wall
from setsolver.output.hanging.papers import PAPERS, Paper
from setsolver.output.hanging.pdf import hanging_pdf
from setsolver.output.hanging.svg import hanging_svg

__all__ = ["PAPERS", "Drawing", "Paper", "draw_wall", "hanging_pdf", "hanging_svg"]

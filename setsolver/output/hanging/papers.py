"""Paper that home and office printers take, in millimetres."""

from __future__ import annotations

from typing import NamedTuple

from setsolver.errors import BadInput

__all__ = ["PAPERS", "POINTS_PER_MM", "Paper", "paper_named"]

POINTS_PER_MM = 72 / 25.4
"""PDF user space is 72 units an inch (ISO 32000-1:2008, 8.3.2.3)."""


class Paper(NamedTuple):
    """A sheet, upright: its name, width and height in millimetres."""

    name: str
    width: float
    height: float


PAPERS = {"A4": Paper("A4", 210.0, 297.0), "Letter": Paper("Letter", 215.9, 279.4)}
"""ISO 216:2007, and ANSI/ASME Y14.1 size A of 8.5 by 11 inches."""


def paper_named(name: str) -> Paper:
    """Return a paper by its name.

    Raises
    ------
    BadInput
        Where it is none of ``PAPERS``.
    """
    if name not in PAPERS:
        raise BadInput(f'paper "{name}" is not known; take {" or ".join(PAPERS)}')
    return PAPERS[name]

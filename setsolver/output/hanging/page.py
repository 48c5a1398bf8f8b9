"""A page of the PDF: its typeface, lines of text, and the cautions that stand on every page."""

from __future__ import annotations

from functools import cache
from typing import Any, NamedTuple

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from setsolver.output.hanging.papers import POINTS_PER_MM
from setsolver.output.hanging.words import CAUTIONS, drawable
from setsolver.output.inert import inert

__all__ = ["INK", "SOFT", "Page", "glyphs", "wrapped"]

REGULAR, BOLD = "Vera", "VeraBd"
"""Bitstream Vera comes with reportlab and may be embedded; the typeface of the proof sheet has outlines (CFF) that
reportlab cannot embed."""
INK, SOFT, ACCENT, MARK = "#111111", "#555555", "#6b3a63", "#8a5a00"


@cache
def glyphs() -> frozenset[int]:
    """Return the code points that the typeface can draw, after making it known to reportlab."""
    for name in (REGULAR, BOLD):
        pdfmetrics.registerFont(TTFont(name, f"{name}.ttf"))
    return frozenset(pdfmetrics.getFont(REGULAR).face.charToGlyph)


def wrapped(text: str, size: float, width: float, font: str = REGULAR) -> list[str]:
    """Return text as lines at most ``width`` millimetres wide at a size in points; a longer word is broken."""
    lines = [""]
    for word in drawable(inert(text), glyphs()).split():
        for part in _parts(word, size, width, font):
            longer = f"{lines[-1]} {part}".strip()
            if _width(longer, size, font) <= width:
                lines[-1] = longer
            else:
                lines.append(part)
    return [line for line in lines if line]


def _parts(word: str, size: float, width: float, font: str) -> list[str]:
    parts = [""]
    for character in word:
        if parts[-1] and _width(parts[-1] + character, size, font) > width:
            parts.append("")
        parts[-1] += character
    return parts


def _width(text: str, size: float, font: str) -> float:
    return float(pdfmetrics.stringWidth(text, font, size)) / POINTS_PER_MM


class Page(NamedTuple):
    """A sheet that is being drawn, in millimetres from its lower left corner. canvas : reportlab's."""

    canvas: Any
    width: float
    height: float

    def text(self, x: float, y: float, words: str, size: float = 9, **how: Any) -> None:
        """Draw one line. how : bold, ink, align ("left", "middle" or "right")."""
        font = BOLD if how.get("bold") else REGULAR
        draw = {"middle": self.canvas.drawCentredString, "right": self.canvas.drawRightString}
        self.canvas.setFont(font, size)
        self.canvas.setFillColor(how.get("ink", INK))
        place = draw.get(how.get("align", "left"), self.canvas.drawString)
        place(x * POINTS_PER_MM, y * POINTS_PER_MM, drawable(inert(words), glyphs()))

    def lines(self, x: float, y: float, words: str, size: float, width: float, **how: Any) -> float:
        """Draw wrapped text whose first base line is ``y``; return the base line after the last."""
        for line in wrapped(words, size, width):
            self.text(x, y, line, size, **how)
            y -= size * 0.46
        return y

    def line(self, x1: float, y1: float, x2: float, y2: float, **how: Any) -> None:
        """Draw a straight line. how : ink, pen (its width) and dash in points."""
        self._pen(how)
        self.canvas.line(*(value * POINTS_PER_MM for value in (x1, y1, x2, y2)))

    def box(self, x: float, y: float, width: float, height: float, **how: Any) -> None:
        """Draw a rectangle. how : as for lines, and fill."""
        self._pen(how)
        if how.get("fill"):
            self.canvas.setFillColor(how["fill"])
        args = (value * POINTS_PER_MM for value in (x, y, width, height))
        self.canvas.rect(*args, stroke=int(how.get("ink", INK) is not None), fill=int(bool(how.get("fill"))))

    def cross(self, x: float, y: float, arm: float) -> None:
        """Draw a cross in a ring: where a hook goes."""
        self.line(x - arm, y, x + arm, y, ink=MARK, pen=0.8)
        self.line(x, y - arm, x, y + arm, ink=MARK, pen=0.8)
        self.canvas.circle(x * POINTS_PER_MM, y * POINTS_PER_MM, arm * 0.55 * POINTS_PER_MM, stroke=1, fill=0)

    def _pen(self, how: dict[str, Any]) -> None:
        if how.get("ink", INK) is not None:
            self.canvas.setStrokeColor(how.get("ink", INK))
        self.canvas.setLineWidth(how.get("pen", 0.6))
        self.canvas.setDash(list(how.get("dash", ())))

    def cautions(self, x: float, top: float, width: float, size: float = 6.4) -> float:
        """Draw all cautions below ``top``; return where they end."""
        self.text(x, top, "Before you go to the wall", size + 1, bold=True)
        y = top - size * 0.55
        for caution in CAUTIONS:
            y = self.lines(x, y, caution, size, width)
        return y

    def done(self) -> None:
        """End the page."""
        self.canvas.showPage()

"""The wall to scale as SVG 1.1, one centimetre of wall to a whole number of tenths of a millimetre on the page."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from textwrap import wrap
from xml.sax.saxutils import escape, quoteattr

from setsolver.domain.plan import Plan
from setsolver.layout import hung
from setsolver.output.hanging.drawing import Cross, Drawing, Label, Line, Outline, draw_wall
from setsolver.output.hanging.words import CAUTIONS, hooks_told
from setsolver.output.inert import inert

__all__ = ["hanging_svg"]

_WIDEST_MM = 400.0
_ORDINARY_CM = 420.0
"""Width of a wall on which letters of 6 cm read well."""
_LETTERS, _LETTER_WIDTH, _LEADING = 150, 0.52, 1.35
"""Of what stands below the wall: letters in a line, their mean width and their lines in shares of their size."""
_EDGE = 0.5
"""Centimetres around the drawing, or the lines on its edges would be cut in half."""
_STYLE = (
    ".hung .wall{fill:#fff;stroke:#777}.hung .floor{stroke:#111;stroke-width:.8}"
    ".hung .keep{fill:#e2e2e2;stroke:#777;stroke-dasharray:2 1}.hung .frame{fill:#f4f1f4;stroke:#111}"
    ".hung .print{fill:#fff;stroke:#777;stroke-width:.25}.hung .centre{stroke:#6b3a63;stroke-dasharray:4 2}"
    ".hung .stair{stroke:#777}.hung .measure{stroke:#555;stroke-width:.3}"
    ".hung .cross{stroke:#8a5a00;stroke-width:.9;fill:none}.hung rect,.hung line,.hung path{stroke-width:.5;fill:none}"
    ".hung text{font-family:Sheet,sans-serif;text-anchor:middle;fill:#111}"
    ".hung .hooks,.hung .caution{text-anchor:start}"
)
"""All of it below one class, for a page in which the drawing stands has classes and letters of its own."""


def hanging_svg(plan: Plan, title: str, captions: Sequence[str] = (), *, cautions: bool = True) -> bytes:
    """Return the wall of a plan with its frames and hooks, to scale; the scale stands in the title.

    The page is at most 400 mm wide. Centimetres of the wall are user units, y is turned up by hand.

    Parameters
    ----------
    captions : what each print is called, by its number: written below the wall with its hooks; none where that stands
    beside it. cautions : written below that; leave them out only where they stand beside it.
    """
    drawing = draw_wall(plan)
    scale = max(1, ceil((drawing.width + 2 * _EDGE) * 10 / _WIDEST_MM))
    called = zip(hung(plan), captions, strict=True) if captions else ()
    told = [hooks_told(plan, frame, inert(caption)) for frame, caption in called]
    below = [("hooks", line) for says in told for line in wrap(says, _LETTERS)]
    below += [("", "")] * bool(told and cautions)
    below += [("caution", line) for caution in CAUTIONS * cautions for line in wrap(caution, _LETTERS)]
    letter = drawing.width / _LETTERS / _LETTER_WIDTH
    height = drawing.height + (len(below) + 1) * letter * _LEADING * bool(below)
    wide, high = drawing.width + 2 * _EDGE, height + 2 * _EDGE
    name = escape(f"{inert(title)}, 1:{scale}")
    box = f"{drawing.x - _EDGE:.3f} {-_EDGE} {wide:.3f} {high:.3f}"
    shapes = [_shape(shape, drawing) for shape in drawing.shapes]
    shapes += [_line(what, line, drawing, letter, k) for k, (what, line) in enumerate(below, 1) if line]
    body = "\n".join(shapes)
    size = f'width="{wide * 10 / scale:.2f}mm" height="{high * 10 / scale:.2f}mm"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} '
        f'viewBox={quoteattr(box)} class="hung" role="img">'
        f"<title>{name}</title><style>{_STYLE}</style>\n{body}\n</svg>\n"
    ).encode()


def _line(what: str, line: str, drawing: Drawing, letter: float, number: int) -> str:
    place = f'x="{drawing.x:.3f}" y="{drawing.height + number * letter * _LEADING:.3f}" font-size="{letter:.2f}"'
    return f'<text class="{what}" {place}>{escape(line)}</text>'


def _shape(shape: Outline | Line | Cross | Label, drawing: Drawing) -> str:
    up, unit = drawing.height, min(6.0, max(0.5, drawing.width / _ORDINARY_CM))
    match shape:
        case Outline(x, y, width, height, style):
            place = f'x="{x:.3f}" y="{up - y - height:.3f}" width="{width:.3f}" height="{height:.3f}"'
            return f'<rect class="{style}" {place}/>'
        case Line(x1, y1, x2, y2, style):
            return f'<line class="{style}" x1="{x1:.3f}" y1="{up - y1:.3f}" x2="{x2:.3f}" y2="{up - y2:.3f}"/>'
        case Cross(x, y):
            return f'<path class="cross" d="M{x - 2:.3f} {up - y:.3f}h4M{x:.3f} {up - y - 2:.3f}v4"/>'
        case Label(x, y, text, size, _):
            letter = 6 * size * unit
            place = f'x="{x:.3f}" y="{up - y + letter / 3:.3f}" font-size="{letter:.2f}"'
            return f"<text {place}>{escape(inert(text))}</text>"

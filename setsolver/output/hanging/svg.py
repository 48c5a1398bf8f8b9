"""The wall to scale as SVG 1.1, one centimetre of wall to a whole number of tenths of a millimetre on the page."""

from __future__ import annotations

from math import ceil
from xml.sax.saxutils import escape, quoteattr

from setsolver.domain.plan import Plan
from setsolver.output.hanging.drawing import Box, Cross, Drawing, Label, Line, draw_wall
from setsolver.output.view.words import inert

__all__ = ["hanging_svg"]

_WIDEST_MM = 400.0
_STYLE = (
    ".wall{fill:#fff;stroke:#777}.floor{stroke:#111;stroke-width:.8}"
    ".keep{fill:#e2e2e2;stroke:#777;stroke-dasharray:2 1}.frame{fill:#f4f1f4;stroke:#111}"
    ".print{fill:#fff;stroke:#777;stroke-width:.25}.centre{stroke:#6b3a63;stroke-dasharray:4 2}"
    ".stair{stroke:#777}.measure{stroke:#555;stroke-width:.3}.cross{stroke:#8a5a00;stroke-width:.9;fill:none}"
    "rect,line,path{stroke-width:.5;fill:none}text{font-family:sans-serif;text-anchor:middle;fill:#111}"
)


def hanging_svg(plan: Plan, title: str) -> bytes:
    """Return the wall of a plan with its frames and hooks, to scale; the scale stands in the title.

    The page is at most 400 mm wide. Centimetres of the wall are user units, y is turned up by hand.
    """
    drawing = draw_wall(plan)
    scale = max(1, ceil(drawing.width * 10 / _WIDEST_MM))
    wide, high = (value * 10 / scale for value in (drawing.width, drawing.height))
    name = escape(f"{inert(title)}, 1:{scale}")
    box = f"{drawing.x:.3f} 0 {drawing.width:.3f} {drawing.height:.3f}"
    shapes = "\n".join(_shape(shape, drawing) for shape in drawing.shapes)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.2f}mm" height="{high:.2f}mm" viewBox={quoteattr(box)} '
        f'role="img"><title>{name}</title><style>{_STYLE}</style>\n{shapes}\n</svg>\n'
    ).encode()


def _shape(shape: Box | Line | Cross | Label, drawing: Drawing) -> str:
    up = drawing.height
    match shape:
        case Box(x, y, width, height, style):
            place = f'x="{x:.3f}" y="{up - y - height:.3f}" width="{width:.3f}" height="{height:.3f}"'
            return f'<rect class="{style}" {place}/>'
        case Line(x1, y1, x2, y2, style):
            return f'<line class="{style}" x1="{x1:.3f}" y1="{up - y1:.3f}" x2="{x2:.3f}" y2="{up - y2:.3f}"/>'
        case Cross(x, y):
            return f'<path class="cross" d="M{x - 2:.3f} {up - y:.3f}h4M{x:.3f} {up - y - 2:.3f}v4"/>'
        case Label(x, y, text, size, _):
            return (
                f'<text x="{x:.3f}" y="{up - y + 2 * size:.3f}" font-size="{6 * size:.2f}">{escape(inert(text))}</text>'
            )

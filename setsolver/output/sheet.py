"""The proof sheet as one picture, for a message to a client: the set to scale, its frames by name, and the proof."""

from __future__ import annotations

from io import BytesIO
from math import ceil
from typing import NamedTuple

from PIL import Image, ImageDraw
from PIL.PngImagePlugin import PngInfo

from setsolver.domain.brief import Brief
from setsolver.domain.outcome import Outcome, SetFound
from setsolver.domain.plan import Placed, Plan
from setsolver.errors import BadInput
from setsolver.layout import plan_of
from setsolver.output.lettering import Weight, fitted, font, wrapped
from setsolver.output.pictures import Loader, Pictures
from setsolver.output.view.captions import caption_of, title_of
from setsolver.output.view.wall import scale_bar
from setsolver.output.view.words import bound_in_words, counted, inert, number

__all__ = ["Geometry", "geometry", "proof_png"]

_WIDTH, _MARGIN, _PAD = 2000, 90, 100
_HIGHEST = 1500
"""Most pixels that the layout itself may be high; tall sets get narrower instead."""
_PAPER, _SURROUND, _SHEET, _INK, _SOFT, _LINE = "#f6f6f6", "#c6c6c6", "#fafafa", "#1c1c1c", "#595959", "#d4d4d4"
_MOULDING, _MOUNT = "#3b3631", "#fbfaf6"
_TITLE, _TEXT, _SMALL = 76, 34, 29
_COLUMN = 580
_ADVICE = "Before hanging, check the weight of each print, the type of wall and the rating of the fasteners."


class Geometry(NamedTuple):
    """Where things lie on the picture, in pixels.

    prints, pages, frames : (left, top, right, bottom), right and bottom exclusive; frames with mount and moulding,
    empty where there is neither. surround : of the grey field.
    scale : pixels a centimetre. foot : where text goes on below the field.
    """

    prints: tuple[tuple[int, int, int, int], ...]
    pages: tuple[tuple[int, int, int, int], ...]
    frames: tuple[tuple[int, int, int, int], ...]
    surround: tuple[int, int, int, int]
    scale: float
    foot: int


class Words(NamedTuple):
    """A line of text and where its top left corner lies."""

    x: float
    y: int
    text: str
    size: int
    ink: str = _INK
    weight: Weight = "Regular"


def proof_png(outcome: Outcome, picture: Loader, set_index: int = 0) -> bytes:
    """Return one set of an outcome as a PNG, 2000 pixels wide, sRGB.

    Raises
    ------
    BadInput
        Where the outcome has no such set.
    """
    if not 0 <= set_index < len(outcome.sets):
        raise BadInput(f"there is no set {set_index + 1} to draw; the outcome holds {len(outcome.sets)}")
    found = outcome.sets[set_index]
    brief = Brief.model_validate(outcome.brief)
    plan = plan_of(brief, found)
    head, top = _head(outcome, found, set_index)
    where = geometry(plan, [frame.position for frame in found.frames], top)
    foot, bottom = _foot(brief, where, plan, found)
    canvas = Image.new("RGB", (_WIDTH, bottom + _MARGIN), _PAPER)
    draw = ImageDraw.Draw(canvas)
    for line in (*head, *foot):
        draw.text((line.x, line.y), line.text, line.ink, font(line.size, line.weight))
    _draw_wall(canvas, draw, where, plan, found, Pictures(picture))
    _draw_bar(draw, where, plan)
    buffer = BytesIO()
    canvas.save(buffer, "PNG", pnginfo=_signed())
    return buffer.getvalue()


def _signed() -> PngInfo:
    """Return what says that the picture was drawn here, so that it is never taken for a photograph."""
    says = PngInfo()
    says.add_text("Software", "setsolver")
    return says


def geometry(plan: Plan, placed: list[Placed], top: int) -> Geometry:
    """Return where a layout is drawn when its grey field starts at ``top``."""
    room = _WIDTH - 2 * _MARGIN - 2 * _PAD
    scale = min(room / plan.width_cm, _HIGHEST / plan.height_cm)
    left = (_WIDTH - plan.width_cm * scale) / 2
    bottom = round(top + 2 * _PAD + plan.height_cm * scale)

    def box(place: Placed) -> tuple[int, int, int, int]:
        x, y = left + place.x_cm * scale, top + _PAD + place.y_cm * scale
        return round(x), round(y), round(x + place.width_cm * scale), round(y + place.height_cm * scale)

    surround = (_MARGIN, top, _WIDTH - _MARGIN, bottom)
    frames = tuple(box(p) for p in plan.frames) if plan.border_cm else ()
    return Geometry(tuple(box(p) for p in placed), tuple(box(p) for p in plan.pages), frames, surround, scale, bottom)


def _head(outcome: Outcome, found: SetFound, index: int) -> tuple[list[Words], int]:
    """Return the lines above the field, and where the field starts."""
    brief = Brief.model_validate(outcome.brief)
    says = inert(brief.says)
    title = title_of(brief) if index == 0 else f"{title_of(brief)}, set {index + 1}"
    room = _WIDTH - 2 * _MARGIN
    lines = [Words(_MARGIN, _MARGIN - 20, fitted(title, font(_TITLE), room), _TITLE)]
    y = _MARGIN + 90
    counts = f"{counted(len(found.frames), 'print')} chosen from {counted(outcome.catalog_frames, 'frame')}. "
    for text in (says, counts + bound_in_words(found, first=index == 0)):
        for part in wrapped(text, font(_TEXT), room):
            lines.append(Words(_MARGIN, y, part, _TEXT, _SOFT))
            y += 46
    return lines, y + 34


def _foot(brief: Brief, where: Geometry, plan: Plan, found: SetFound) -> tuple[list[Words], int]:
    """Return the lines below the field, and where they end: frames in columns, then the layout."""
    columns = max(1, min(len(found.frames), int((_WIDTH - 2 * _MARGIN) // _COLUMN)))
    per_column = ceil(len(found.frames) / columns)
    wide, top, lines = (_WIDTH - 2 * _MARGIN) / columns, where.foot + 118, []
    for i, frame in enumerate(found.frames):
        x, y = _MARGIN + (i // per_column) * wide, top + (i % per_column) * 46
        lines.append(Words(x, y, str(i + 1), _TEXT, _INK, "Semibold"))
        words = fitted(caption_of(brief, frame), font(_SMALL), wide - 90)
        lines.append(Words(x + 52, y + 4, words, _SMALL, _SOFT))
    y = top + per_column * 46 + 34
    for part in wrapped(f"{plan.says}. {_ADVICE if plan.cautions else ''}", font(_SMALL), _WIDTH - 2 * _MARGIN):
        lines.append(Words(_MARGIN, y, part, _SMALL, _SOFT))
        y += 40
    return lines, y


def _draw_wall(
    canvas: Image.Image, draw: ImageDraw.ImageDraw, where: Geometry, plan: Plan, found: SetFound, pictures: Pictures
) -> None:
    x0, y0, x1, y1 = where.surround
    draw.rectangle((x0, y0, x1 - 1, y1 - 1), _SURROUND)
    for left, top, right, bottom in where.pages:
        draw.rectangle((left, top, right - 1, bottom - 1), _SHEET, _LINE)
    for left, top, right, bottom in where.frames:
        moulding = round((plan.wall.frame_cm if plan.wall else 0.0) * where.scale)
        draw.rectangle((left, top, right - 1, bottom - 1), _MOULDING)
        draw.rectangle((left + moulding, top + moulding, right - 1 - moulding, bottom - 1 - moulding), _MOUNT)
    for frame, (left, top, right, bottom) in zip(found.frames, where.prints, strict=True):
        size = right - left, bottom - top
        finished = Image.fromarray(pictures.finished(frame, max(size)))
        canvas.paste(finished.resize(size, Image.Resampling.LANCZOS), (left, top))


def _draw_bar(draw: ImageDraw.ImageDraw, where: Geometry, plan: Plan) -> None:
    """Draw the scale bar under the layout's left edge."""
    length = scale_bar(plan.width_cm)
    left, y = (_WIDTH - plan.width_cm * where.scale) / 2, where.foot + 30
    right = left + length * where.scale
    draw.line([(left, y), (left, y + 14), (right, y + 14), (right, y)], _SOFT, 3)
    draw.text((right + 18, y - 10), f"{number(length, 0)} cm", _SOFT, font(_SMALL))

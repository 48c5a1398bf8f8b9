"""A spread kind on the pages of a book: where each picture is cut and stands, in centimetres, and what it must keep.

The origin is the top left corner of the trimmed spread; what bleeds has negative places or ends beyond the trim.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations
from typing import NamedTuple

from setsolver.domain.album_wish import AlbumWish
from setsolver.domain.cut import Cut
from setsolver.domain.geometry import parse_aspect
from setsolver.domain.plan import Placed
from setsolver.domain.spread_kind import PlaceWish, SpreadKind
from setsolver.errors import BadBrief, NoRoom

__all__ = ["OnPage", "Part", "leaves_a_page", "mirrored", "on_pages"]

MM = 0.1
TOUCH = 1e-6
"""Centimetres by which pictures may run into each other by rounding."""


class OnPage(NamedTuple):
    """Where a picture stands with its bleed, and what of it is seen."""

    at: Placed
    cut: Cut


class Part(NamedTuple):
    """Pictures of a spread that share size, cut and part. role : None = any."""

    name: str
    role: str | None
    cut: Cut
    print_cm: float
    places: tuple[Placed, ...]

    @property
    def aspect(self) -> str:
        """Width and height as a brief writes an aspect."""
        first = self.places[0]
        return f"{first.width_cm:.4f}:{first.height_cm:.4f}"

    @property
    def area_cm2(self) -> float:
        """Of one picture."""
        first = self.places[0]
        return first.width_cm * first.height_cm


def on_pages(kind: SpreadKind, wish: AlbumWish) -> tuple[Part, ...]:
    """Return the pictures of a kind on the pages of an album.

    Raises
    ------
    BadBrief
        Where two pictures overlap, or the pages leave one of them no room.
    """
    parts = tuple(part for place in kind.place for part in _parts(kind, place, wish))
    boxes = [(part.name, at) for part in parts for at in part.places]
    for (one, a), (two, b) in combinations(boxes, 2):
        wide, high = _overlap(a, b)
        if wide > TOUCH and high > TOUCH:
            raise BadBrief(
                f"spread kind {kind.name}: {one} and {two} overlap by {wide:.1f} by {high:.1f} cm; give them boxes "
                "that lie apart"
            )
    return parts


def _parts(kind: SpreadKind, place: PlaceWish, wish: AlbumWish) -> Iterable[Part]:
    """Return a place's pictures, those of one cut and size together."""
    found: dict[tuple[Cut, float, float], list[Placed]] = {}
    for box in place.box:
        at, cut = _on_page(kind, place, box, wish)
        cut = _either_side(cut) if kind.mirror else cut
        key = cut, round(at.width_cm, 4), round(at.height_cm, 4)
        found.setdefault(key, []).append(at)
    for (cut, width, height), places in found.items():
        yield Part(place.name, place.role, cut, max(width, height), tuple(places))


def _on_page(kind: SpreadKind, place: PlaceWish, box: tuple[float, ...], wish: AlbumWish) -> OnPage:
    area = _area(place, wish)
    at = _boxed(area, box, wish.gap_mm * MM)
    if place.aspect:
        at = _shaped(at, parse_aspect(place.aspect), place.align)
    if min(at.width_cm, at.height_cm) < 1:
        raise NoRoom(
            f"spread kind {kind.name}: {place.name} would be {at.width_cm:.1f} by {at.height_cm:.1f} cm on a page of "
            f"{wish.page_cm[0]:g} by {wish.page_cm[1]:g} cm; make page_cm larger, or leave the kind out of kinds"
        )
    return OnPage(at, _cut(at, wish))


def _area(place: PlaceWish, wish: AlbumWish) -> Placed:
    width, height = wish.page_cm
    left = 0.0 if place.area in ("left", "spread") else width
    right = width if place.area == "left" else 2 * width
    if place.reach == "bleed":
        bleed = wish.bleed_mm * MM
        out_left, out_right = (bleed if place.area != "right" else 0.0), (bleed if place.area != "left" else 0.0)
        return _placed(left - out_left, -bleed, right + out_right, height + bleed)
    safe, inner = wish.safe_mm * MM, max(wish.safe_mm, wish.gutter_mm) * MM
    return _placed(
        left + (inner if place.area == "right" else safe),
        safe,
        right - (inner if place.area == "left" else safe),
        height - safe,
    )


def _boxed(area: Placed, box: tuple[float, ...], gap: float) -> Placed:
    """Return a box of an area; edges that are not the area's own stay half a gap off."""
    x, y, w, h = box
    left = area.x_cm + x * area.width_cm + (gap / 2 if x > TOUCH else 0.0)
    right = area.x_cm + (x + w) * area.width_cm - (gap / 2 if x + w < 1 - TOUCH else 0.0)
    top = area.y_cm + y * area.height_cm + (gap / 2 if y > TOUCH else 0.0)
    bottom = area.y_cm + (y + h) * area.height_cm - (gap / 2 if y + h < 1 - TOUCH else 0.0)
    return _placed(left, top, max(left, right), max(top, bottom))


def _shaped(at: Placed, aspect: float, align: tuple[float, float]) -> Placed:
    width = min(at.width_cm, at.height_cm * aspect)
    height = width / aspect
    left, top = at.x_cm + align[0] * (at.width_cm - width), at.y_cm + align[1] * (at.height_cm - height)
    return _placed(left, top, left + width, top + height)


def _cut(at: Placed, wish: AlbumWish) -> Cut:
    """Return what of a picture is trimmed, lies too near the trim, or in the fold."""
    width, height = wish.page_cm
    safe, fold = wish.safe_mm * MM, wish.gutter_mm * MM
    right, bottom = at.x_cm + at.width_cm, at.y_cm + at.height_cm
    lost = [safe - at.x_cm, safe - at.y_cm, right - (2 * width - safe), bottom - (height - safe)]
    strip = (0.0, 0.0)
    if at.x_cm < width - TOUCH and right > width + TOUCH:
        strip = ((width - fold - at.x_cm) / at.width_cm, (width + fold - at.x_cm) / at.width_cm)
    elif abs(right - width) < fold:
        lost[2] = right - (width - fold)
    elif abs(at.x_cm - width) < fold:
        lost[0] = width + fold - at.x_cm
    sizes = (at.width_cm, at.height_cm, at.width_cm, at.height_cm)
    margin = tuple(
        round(max(0.0, side) / size, 5) if side > TOUCH else 0.0 for side, size in zip(lost, sizes, strict=True)
    )
    aspect = round(at.width_cm, 4) / round(at.height_cm, 4)
    return Cut(aspect, margin, (round(strip[0], 5), round(strip[1], 5)))  # type: ignore[arg-type]  # four of them


def _either_side(cut: Cut) -> Cut:
    """Return what holds for a picture and its place on the other page alike."""
    left, top, right, bottom = cut.margin
    side = max(left, right)
    return cut._replace(margin=(side, top, side, bottom))


def leaves_a_page(parts: Iterable[Part], wish: AlbumWish) -> bool:
    """Return whether one of the two pages holds no picture."""
    middle = wish.page_cm[0]
    places = [at for part in parts for at in part.places]
    left = any(at.x_cm < middle - TOUCH for at in places)
    return not (left and any(at.x_cm + at.width_cm > middle + TOUCH for at in places))


def mirrored(at: Placed, wish: AlbumWish) -> Placed:
    """Return a place with left and right exchanged."""
    return at.model_copy(update={"x_cm": 2 * wish.page_cm[0] - at.x_cm - at.width_cm})


def _placed(left: float, top: float, right: float, bottom: float) -> Placed:
    return Placed(x_cm=left, y_cm=top, width_cm=right - left, height_cm=bottom - top)


def _overlap(a: Placed, b: Placed) -> tuple[float, float]:
    wide = min(a.x_cm + a.width_cm, b.x_cm + b.width_cm) - max(a.x_cm, b.x_cm)
    high = min(a.y_cm + a.height_cm, b.y_cm + b.height_cm) - max(a.y_cm, b.y_cm)
    return wide, high

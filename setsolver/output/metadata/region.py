"""IPTC image regions: where a crop lies on a picture as it is stored (IPTC Photo Metadata Standard 2024.1)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from lxml import etree

from setsolver.output.metadata.packet import NAMESPACES, Packet, name, write_language

__all__ = ["CROPPING", "RECOMMENDED", "Corner", "add_region", "stored_corners"]

Corner = tuple[float, float]
_ROLES: Final = "http://cv.iptc.org/newscodes/imageregionrole/"
CROPPING: Final = ("cropping", _ROLES + "cropping")
RECOMMENDED: Final = ("recommended cropping", _ROLES + "recomCropping")
"""Names and identifiers of IPTC's controlled vocabulary of region roles."""
_LEVEL: Final = 1e-6
_REGION: Final = "Iptc4xmpExt:ImageRegion"


def stored_corners(corners: Sequence[Corner], orientation: int, turn: int = 0) -> tuple[Corner, ...]:
    """Return corners on the stored picture of corners on the seen one, fractions of width and height.

    Parameters
    ----------
    orientation : Exif's, 1 to 8 (TIFF 6.0, section 8). turn : degrees clockwise by which the upright picture was turned
    further.
    """
    return tuple(_stored(x, y, orientation, turn) for x, y in corners)


def _stored(x: float, y: float, orientation: int, turn: int) -> Corner:
    if turn == 90:
        x, y = y, 1 - x
    elif turn == 180:
        x, y = 1 - x, 1 - y
    elif turn == 270:
        x, y = 1 - y, x
    if orientation in (2, 3, 6, 7):
        x = 1 - x
    if orientation in (3, 4, 7, 8):
        y = 1 - y
    return (y, x) if orientation >= 5 else (x, y)


def add_region(packet: Packet, mark: str, title: str, corners: Sequence[Corner], role: tuple[str, str]) -> None:
    """Add a region to a packet; one of the same mark makes way, all others stay.

    A crop along the edges is a rectangle by its upper left corner; a levelled one a polygon of its four corners.
    """
    regions = packet.array(_REGION)
    for item in list(regions):
        if (own := item.find(name("Iptc4xmpExt:rId"))) is not None and own.text == mark:
            regions.remove(item)
    item = _struct(regions, "rdf:li")
    _boundary(_struct(item, "Iptc4xmpExt:RegionBoundary"), corners)
    _sub(item, "Iptc4xmpExt:rId").text = mark
    write_language(_sub(item, "Iptc4xmpExt:Name"), title)
    entity = _struct(etree.SubElement(_sub(item, "Iptc4xmpExt:rRole"), name("rdf:Bag")), "rdf:li")
    write_language(_sub(entity, "Iptc4xmpExt:Name"), role[0])
    bag = etree.SubElement(_sub(entity, "xmp:Identifier"), name("rdf:Bag"))
    etree.SubElement(bag, name("rdf:li")).text = role[1]


def _boundary(boundary: etree._Element, corners: Sequence[Corner]) -> None:
    xs, ys = sorted(x for x, _ in corners), sorted(y for _, y in corners)
    straight = xs[1] - xs[0] < _LEVEL and xs[3] - xs[2] < _LEVEL and ys[1] - ys[0] < _LEVEL and ys[3] - ys[2] < _LEVEL
    _sub(boundary, "Iptc4xmpExt:rbShape").text = "rectangle" if straight else "polygon"
    _sub(boundary, "Iptc4xmpExt:rbUnit").text = "relative"
    if straight:
        for key, value in (("rbX", xs[0]), ("rbY", ys[0]), ("rbW", xs[3] - xs[0]), ("rbH", ys[3] - ys[0])):
            _sub(boundary, f"Iptc4xmpExt:{key}").text = _number(value)
        return
    points = etree.SubElement(_sub(boundary, "Iptc4xmpExt:rbVertices"), name("rdf:Seq"))
    for x, y in corners:
        point = _struct(points, "rdf:li")
        _sub(point, "Iptc4xmpExt:rbX").text = _number(x)
        _sub(point, "Iptc4xmpExt:rbY").text = _number(y)


def _sub(parent: etree._Element, tag: str) -> etree._Element:
    prefix = tag.split(":", maxsplit=1)[0]
    return etree.SubElement(parent, name(tag), nsmap={prefix: NAMESPACES[prefix]})


def _struct(parent: etree._Element, tag: str) -> etree._Element:
    element = _sub(parent, tag)
    element.set(name("rdf:parseType"), "Resource")
    return element


def _number(value: float) -> str:
    return f"{min(max(value, 0.0), 1.0):.6f}".rstrip("0").rstrip(".") or "0"

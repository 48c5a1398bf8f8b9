"""What a print says of itself: whose it is, which set it is of, and where in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from setsolver.output.metadata.packet import Packet, Unmergeable
from setsolver.output.metadata.region import CROPPING, Corner, add_region

__all__ = ["Kept", "Said", "print_packet"]

_OF_THE_CREATOR = ("dc:creator", "dc:rights", "dc:title", "dc:description", "dc:publisher", "dc:language")
_SPACES = ("xmpRights", "Iptc4xmpCore", "plus")
"""Rights, contact and licence; nothing of place, persons or camera settings goes to a lab or a message."""


@dataclass(frozen=True, slots=True)
class Kept:
    """What an original says. packets : XMP, the weightiest last. artist, rights, description : Exif's, "" if absent."""

    packets: tuple[bytes, ...] = ()
    artist: str = ""
    rights: str = ""
    description: str = ""


@dataclass(frozen=True, slots=True)
class Said:
    """What the tool says of a print.

    title, group : what a reader calls the set, and its name. place : such as "1 of 3". source : the original's file
    name. crop : x, y, w, h on the levelled frame. picture : corners of the crop on the print itself, fractions.
    taken, made : ISO 8601.
    """

    title: str
    group: str
    place: str
    source: str
    crop: tuple[float, float, float, float]
    degrees: float
    picture: Sequence[Corner]
    tool: str
    made: str
    taken: str | None = None
    rating: float | None = None
    keywords: tuple[str, ...] = ()


def print_packet(kept: Kept, said: Said) -> bytes:
    """Return the packet to be put into a print."""
    packet = Packet()
    for data in reversed(kept.packets):
        try:
            other = Packet(data)
        except Unmergeable:
            continue  # an original's broken packet says nothing, as in the scan
        packet.take(other, [prop for prop in _OF_THE_CREATOR if not packet.has(prop)], _spaces_free(packet))
    if kept.artist and not packet.has("dc:creator"):
        packet.set_words("dc:creator", [kept.artist], "Seq")
    if kept.rights and not packet.has("dc:rights"):
        packet.set_language("dc:rights", kept.rights)
    if kept.description and not packet.has("dc:description"):
        packet.set_language("dc:description", kept.description)
    if not packet.has("dc:title"):
        packet.set_language("dc:title", f"{said.title}, {said.place}")
    if said.keywords:
        packet.set_words("dc:subject", said.keywords)
    if said.rating is not None:
        packet.set_text("xmp:Rating", f"{said.rating:g}")
    if said.taken is not None:
        packet.set_text("xmp:CreateDate", said.taken)
    packet.set_text("dc:source", said.source)
    packet.set_text("xmp:CreatorTool", said.tool)
    packet.set_text("xmp:MetadataDate", said.made)
    packet.set_text("setsolver:Set", said.group)
    packet.set_text("setsolver:Place", said.place)
    packet.set_text("setsolver:Crop", " ".join(f"{value:.6f}" for value in said.crop))
    packet.set_text("setsolver:LevelDegrees", f"{said.degrees:.3f}")
    add_region(packet, "setsolver-picture", f"{said.title}, {said.place}", said.picture, CROPPING)
    return packet.embedded()


def _spaces_free(packet: Packet) -> list[str]:
    return [prefix for prefix in _SPACES if not packet.holds(prefix)]

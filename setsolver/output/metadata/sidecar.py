"""A sidecar for a chosen original: rating, a label of our own, and its crop, beside all that is there already."""

from __future__ import annotations

from collections.abc import Sequence

from setsolver.output.metadata.packet import Packet
from setsolver.output.metadata.region import RECOMMENDED, Corner, add_region

__all__ = ["sidecar"]

_LABEL = "chosen for "


def sidecar(before: bytes | None, group: str, place: str, corners: Sequence[Corner], rating: float | None) -> bytes:
    """Return a sidecar with what is new; of what was there, only our own label and region of the same set change.

    Parameters
    ----------
    before : the sidecar that is there, None for none. group, place : the set and the place in it.
    corners : of the crop on the original as it is stored, fractions. rating : written only where there is none yet.

    Raises
    ------
    Unmergeable
        Where the one that is there cannot be read.
    """
    packet = Packet(before)
    if rating is not None and not packet.has("xmp:Rating"):
        packet.set_text("xmp:Rating", f"{rating:g}")
    label = packet.text("xmp:Label")
    if label is None or label.startswith(_LABEL):
        packet.set_text("xmp:Label", f"{_LABEL}{group}")
    add_region(packet, f"setsolver-{group}", f"{group}, {place}", corners, RECOMMENDED)
    return packet.sidecar()

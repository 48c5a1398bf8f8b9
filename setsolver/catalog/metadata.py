"""What is known about how a frame was shot: Exif, then XMP in the file, then its sidecar.

The sidecar wins over the packet in the file, which wins over IPTC keywords: it is where later edits go. Times come
from Exif; XMP's creation date stands in where Exif has none.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from PIL import Image, ImageFile, IptcImagePlugin

from setsolver.catalog.dates import believable
from setsolver.catalog.exif import shot_from_exif
from setsolver.catalog.pairing import kind_of_file
from setsolver.catalog.xmp import Packet, read_packet
from setsolver.domain.frame import Shot

__all__ = ["said_scales", "shot_of", "with_packets"]

_SCALE_WORD = "scale:"
_MOST_SIDECAR = 4_000_000
"""Bytes; a longer sidecar is not read."""
_IIM_KEYWORD = (2, 25)


def shot_of(image: Image.Image, sidecar: Path | None) -> Shot:
    """Return a picture's metadata from its opened file and its sidecar."""
    embedded = image.info.get("xmp")
    shot = replace(shot_from_exif(image.getexif()), keywords=_iim_keywords(image))
    return with_packets(shot, [embedded] if isinstance(embedded, bytes) else [], sidecar)


def with_packets(shot: Shot, packets: Iterable[bytes], sidecar: Path | None) -> Shot:
    """Return a shot with what XMP packets and a sidecar add, the later ones winning.

    A sidecar that is of no use costs the frame nothing and is remarked on.
    """
    for data in packets:
        shot = _merged(shot, read_packet(data))
    if sidecar is None:
        return shot
    packet, why = _sidecar(sidecar)
    return replace(_merged(shot, packet), remark=f"its XMP sidecar counts for nothing: {why}" if why else "")


def said_scales(keywords: Iterable[str], scales: Iterable[str]) -> tuple[str, ...]:
    """Return the shot scales that keywords such as ``scale:close`` state; more than one contradict each other."""
    words = {word.strip().lower() for word in keywords}
    return tuple(scale for scale in scales if _SCALE_WORD + scale in words)


def _merged(shot: Shot, packet: Packet) -> Shot:
    time, offset = shot.time, shot.utc_offset
    if time is None and packet.created is not None and believable(packet.created.replace(tzinfo=None)):
        time = packet.created.replace(tzinfo=None)
        zone = packet.created.utcoffset()
        offset = None if zone is None else round(zone.total_seconds() / 60)
    return replace(
        shot,
        time=time,
        utc_offset=offset,
        rating=shot.rating if packet.rating is None else packet.rating,
        keywords=shot.keywords if packet.keywords is None else packet.keywords,
    )


def _sidecar(path: Path) -> tuple[Packet, str]:
    """Return what a sidecar says, and why it says nothing: the photograph can be measured without it."""
    try:
        if what := kind_of_file(path.stat().st_mode):  # opening it might never end
            return Packet(), f"it is no regular file but {what}"
        with path.open("rb") as stream:
            data = stream.read(_MOST_SIDECAR + 1)
    except OSError as error:
        return Packet(), f"it cannot be read ({error.strerror}); scan --again once it can"
    if len(data) > _MOST_SIDECAR:
        return Packet(), f"it has more than {_MOST_SIDECAR // 10**6} million bytes"
    packet = read_packet(data)
    return packet, "it is no XML, or cut off" if packet.broken else ""


def _iim_keywords(image: Image.Image) -> tuple[str, ...]:
    """Return IPTC-IIM keywords (dataset 2:25), UTF-8 where the file says so or they read as such, else Latin-1."""
    try:
        found = IptcImagePlugin.getiptcinfo(image) if isinstance(image, ImageFile.ImageFile) else None
    except Exception:  # noqa: BLE001 - a damaged block is as good as none, whatever the parser stumbled on
        return ()
    words = (found or {}).get(_IIM_KEYWORD, [])
    texts = [_decoded(word) for word in ([words] if isinstance(words, bytes) else words)]
    return tuple(dict.fromkeys(text for text in texts if text))


def _decoded(word: bytes) -> str:
    try:
        return word.decode("utf-8").strip()
    except UnicodeDecodeError:
        return word.decode("latin-1").strip()

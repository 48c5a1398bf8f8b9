"""Rating, keywords and creation date from an XMP packet (ISO 16684-1), embedded or as a sidecar.

Properties may be written as elements or as attributes of ``rdf:Description``. Entities are not resolved and nothing is
fetched.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lxml import etree

__all__ = ["Packet", "read_packet", "title_of"]

_RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"
_RATING = "{http://ns.adobe.com/xap/1.0/}Rating"
_CREATED = "{http://ns.adobe.com/xap/1.0/}CreateDate"
_TITLE = "{http://purl.org/dc/elements/1.1/}title"
_SUBJECT = "{http://purl.org/dc/elements/1.1/}subject"


@dataclass(frozen=True, slots=True)
class Packet:
    """rating : -1 (rejected) to 5, None where absent, 0 (unrated) or outside. keywords : None where not said.

    broken : the text is no XML.
    """

    rating: float | None = None
    keywords: tuple[str, ...] | None = None
    created: datetime | None = None
    broken: bool = False


def read_packet(data: bytes) -> Packet:
    """Return what a packet says; text that is no XML says nothing."""
    from lxml import etree  # noqa: PLC0415 - loaded only where there are packets

    parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False, recover=False)
    try:
        root = etree.fromstring(_trimmed(data), parser)
    except (etree.XMLSyntaxError, ValueError):
        return Packet(broken=True)
    return Packet(_rating(_value(root, _RATING)), _keywords(root), _date(_value(root, _CREATED)))


def title_of(data: bytes) -> str:
    """Return the title of a packet (dc:title, alternatives by language, the default first), "" where it has none."""
    from lxml import etree  # noqa: PLC0415 - loaded only where there are packets

    parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False, recover=False)
    try:
        root = etree.fromstring(_trimmed(data), parser)
    except (etree.XMLSyntaxError, ValueError):
        return ""
    for title in root.iter(_TITLE):
        for item in title.iter(f"{_RDF}li"):
            if text := (item.text or "").strip():
                return text
    return ""


def _trimmed(data: bytes) -> bytes:
    """Return a packet without the padding about it; of UTF-16 (by its byte order mark) a zero may be half a letter."""
    return data if data[:2] in (b"\xff\xfe", b"\xfe\xff") else data.strip(b"\0 \r\n\t")


def _value(root: etree._Element, name: str) -> str | None:
    """Return a simple property's text, written either way."""
    for description in root.iter(f"{_RDF}Description"):
        if (text := description.get(name)) is not None:
            return str(text)
        if (element := description.find(name)) is not None:
            return str(element.text or "")
    return None


def _keywords(root: etree._Element) -> tuple[str, ...] | None:
    for subject in root.iter(_SUBJECT):
        words = [(item.text or "").strip() for item in subject.iter(f"{_RDF}li")]
        return tuple(dict.fromkeys(word for word in words if word))
    return None


def _rating(text: str | None) -> float | None:
    try:
        rating = float(text or "")
    except ValueError:
        return None
    return rating if rating == -1 or 0 < rating <= 5 else None


def _date(text: str | None) -> datetime | None:
    """Return a date with a time of day (ISO 8601 profile of XMP); a bare day says too little to order frames by."""
    if not text or "T" not in text:
        return None
    try:
        return datetime.fromisoformat(text.strip())
    except ValueError:
        return None

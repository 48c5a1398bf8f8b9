"""An XMP packet as a tree: read without trust, its properties set in the forms of ISO 16684-1, written whole.

Nothing is fetched, no entity is resolved, and a document type is refused: a packet has no use for one.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from typing import Final

from lxml import etree

__all__ = ["NAMESPACES", "Packet", "Unmergeable", "name"]

NAMESPACES: Final = {
    "x": "adobe:ns:meta/",
    "rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
    "dc": "http://purl.org/dc/elements/1.1/",
    "xmp": "http://ns.adobe.com/xap/1.0/",
    "xmpRights": "http://ns.adobe.com/xap/1.0/rights/",
    "Iptc4xmpCore": "http://iptc.org/std/Iptc4xmpCore/1.0/xmlns/",
    "Iptc4xmpExt": "http://iptc.org/std/Iptc4xmpExt/2008-02-29/",
    "plus": "http://ns.useplus.org/ldf/xmp/1.0/",
    "setsolver": "https://setsolver.invalid/ns/1.0/",
}
"""ISO 16684-1 (x, rdf, dc, xmp, xmpRights), IPTC Photo Metadata Standard (Iptc4xmpCore, Iptc4xmpExt, plus), and our
own, under a domain that never resolves (RFC 2606)."""
_LANGUAGE: Final = "{http://www.w3.org/XML/1998/namespace}lang"
_HEAD: Final = '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>\n'
_TAIL: Final = '\n<?xpacket end="w"?>'
_MOST: Final = 4_000_000


class Unmergeable(ValueError):  # noqa: N818 - reads as a sentence: "the sidecar is unmergeable: ..."
    """A packet that cannot be read, with the reason; it is left as it is."""


def name(text: str) -> str:
    """Return the qualified name of ``prefix:local``."""
    prefix, local = text.split(":")
    return f"{{{NAMESPACES[prefix]}}}{local}"


class Packet:
    """A packet: new, or one that is there already."""

    def __init__(self, data: bytes | None = None) -> None:
        """Read a packet.

        Raises
        ------
        Unmergeable
            Where the bytes are no XML, have a document type, or no RDF.
        """
        if data is None:
            meta = etree.Element(name("x:xmpmeta"), nsmap={"x": NAMESPACES["x"]})
            rdf = etree.SubElement(meta, name("rdf:RDF"), nsmap={"rdf": NAMESPACES["rdf"]})
            self._tree = etree.ElementTree(meta)
        else:
            self._tree = _read(data)
            found = self._tree.getroot()
            inner = [found] if found.tag == name("rdf:RDF") else list(found.iter(name("rdf:RDF")))
            if not inner:
                raise Unmergeable("it has no RDF, so it is no XMP")
            rdf = inner[0]
        self._rdf = rdf

    def find(self, prop: str) -> etree._Element | None:
        """Return a top-level property that is written as an element."""
        for description in self._rdf.findall(name("rdf:Description")):
            if (found := description.find(name(prop))) is not None:
                return found
        return None

    def has(self, prop: str) -> bool:
        """Tell whether a property is there, as an element or as an attribute."""
        asked = name(prop)
        return self.find(prop) is not None or any(
            asked in description.attrib for description in self._rdf.findall(name("rdf:Description"))
        )

    def holds(self, prefix: str) -> bool:
        """Tell whether any property of a namespace is there as an element."""
        space = f"{{{NAMESPACES[prefix]}}}"
        return any(
            isinstance(child.tag, str) and child.tag.startswith(space)
            for description in self._rdf.findall(name("rdf:Description"))
            for child in description
        )

    def text(self, prop: str) -> str | None:
        """Return a simple property's text, None where there is none."""
        if (found := self.find(prop)) is not None:
            return str(found.text or "")
        for description in self._rdf.findall(name("rdf:Description")):
            if (value := description.get(name(prop))) is not None:
                return str(value)
        return None

    def set_text(self, prop: str, text: str) -> None:
        """Set a simple property, in the form in which it is there."""
        for description in self._rdf.findall(name("rdf:Description")):
            if name(prop) in description.attrib:
                description.set(name(prop), text)
                return
        self._fresh(prop).text = text

    def set_words(self, prop: str, words: Iterable[str], kind: str = "Bag") -> None:
        """Set an unordered ("Bag") or ordered ("Seq") array of texts."""
        array = etree.SubElement(self._fresh(prop), name(f"rdf:{kind}"))
        for word in words:
            etree.SubElement(array, name("rdf:li")).text = word

    def set_language(self, prop: str, text: str) -> None:
        """Set a text in the default language."""
        write_language(self._fresh(prop), text)

    def array(self, prop: str) -> etree._Element:
        """Return an unordered array, made where it is missing, to which items are added."""
        found = self.find(prop)
        if found is None:
            found = self._fresh(prop)
        bag = next((child for child in found if child.tag in (name("rdf:Bag"), name("rdf:Seq"))), None)
        return etree.SubElement(found, name("rdf:Bag")) if bag is None else bag

    def take(self, other: Packet, props: Sequence[str], prefixes: Sequence[str] = ()) -> None:
        """Take over properties of another packet as they are: those named, and all of some namespaces."""
        wanted = {name(prop) for prop in props}
        spaces = tuple(f"{{{NAMESPACES[prefix]}}}" for prefix in prefixes)
        for description in other._rdf.findall(name("rdf:Description")):
            for tag, value in description.attrib.items():
                if str(tag) in wanted or str(tag).startswith(spaces):
                    self._add(str(tag)).text = str(value)
            for child in description:
                if isinstance(child.tag, str) and (child.tag in wanted or child.tag.startswith(spaces)):
                    self._home().append(_copied(child))

    def sidecar(self) -> bytes:
        """Return the packet as UTF-8 with an XML declaration, its wrapper kept or added."""
        text = etree.tostring(self._tree, encoding="unicode")
        if "<?xpacket" not in text:
            text = _HEAD + text + _TAIL
        return b'<?xml version="1.0" encoding="UTF-8"?>\n' + text.encode()

    def embedded(self) -> bytes:
        """Return the packet for embedding: without an XML declaration."""
        return self.sidecar().split(b"\n", 1)[1]

    def _home(self) -> etree._Element:
        found = self._rdf.find(name("rdf:Description"))
        if found is None:
            found = etree.SubElement(self._rdf, name("rdf:Description"))
            found.set(name("rdf:about"), "")
        return found

    def _add(self, tag: str) -> etree._Element:
        prefix = next(short for short, space in NAMESPACES.items() if tag.startswith(f"{{{space}}}"))
        return etree.SubElement(self._home(), tag, nsmap={prefix: NAMESPACES[prefix]})

    def _fresh(self, prop: str) -> etree._Element:
        """Return the property emptied, made where it is missing."""
        found = self.find(prop)
        if found is None:
            return self._add(name(prop))
        for child in list(found):
            found.remove(child)
        found.text = None
        return found


def write_language(element: etree._Element, text: str) -> None:
    """Write a text in the default language into a property (language alternative, ISO 16684-1, 8.2.2.4)."""
    item = etree.SubElement(etree.SubElement(element, name("rdf:Alt")), name("rdf:li"))
    item.set(_LANGUAGE, "x-default")
    item.text = text


def _copied(element: etree._Element) -> etree._Element:
    copy = etree.fromstring(etree.tostring(element, with_tail=False), _parser())
    etree.cleanup_namespaces(copy)
    return copy


def _parser() -> etree.XMLParser:
    return etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False, recover=False)


def _read(data: bytes) -> etree._ElementTree:
    if len(data) > _MOST:
        raise Unmergeable(f"it has more than {_MOST // 10**6} million bytes")
    try:
        tree = etree.parse(io.BytesIO(data.strip(b"\0 \r\n\t")), _parser())
    except (etree.XMLSyntaxError, ValueError) as error:
        raise Unmergeable("it is no XML, or cut off") from error
    if getattr(tree.docinfo, "doctype", ""):
        raise Unmergeable("it has a document type, which XMP has not")
    return tree

"""Packets property by property, in the two forms that ISO 16684-1, 7.4 and 7.5 have for simple ones."""

import pytest
from lxml import etree

from setsolver.output.metadata.packet import Packet, Unmergeable, name

XMP = b"""<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#" xmlns:xmp="http://ns.adobe.com/xap/1.0/"
 xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmpRights="http://ns.adobe.com/xap/1.0/rights/">
<rdf:Description rdf:about="" xmp:Rating="3"><!-- a remark --></rdf:Description>
<rdf:Description rdf:about="" xmpRights:Marked="True"><xmp:Label>pick</xmp:Label>
<dc:subject><rdf:Seq><rdf:li>kiln</rdf:li></rdf:Seq></dc:subject></rdf:Description>
</rdf:RDF>"""


def words(packet, prop):
    return [item.text for item in packet.find(prop).iter(name("rdf:li"))]


def test_a_property_is_found_in_any_description_and_either_form():
    packet = Packet(XMP)
    assert [packet.text(prop) for prop in ("xmp:Rating", "xmp:Label", "dc:title")] == ["3", "pick", None]
    assert [packet.has(prop) for prop in ("xmp:Rating", "xmp:Label", "dc:subject", "dc:title")] == [True] * 3 + [False]
    assert packet.find("xmp:Rating") is None
    assert packet.find("xmp:Label").text == "pick"


def test_a_namespace_is_held_where_an_element_of_it_is():
    held = [Packet(XMP).holds(prefix) for prefix in ("xmp", "dc", "xmpRights", "plus")]
    assert held == [True, True, False, False]
    assert not Packet().holds("dc")


def test_a_simple_property_is_set_in_the_form_in_which_it_is_there():
    packet = Packet(XMP)
    packet.set_text("xmp:Rating", "5")
    packet.set_text("xmp:Label", "chosen")
    packet.set_text("xmp:CreatorTool", "setsolver")
    assert packet.find("xmp:Rating") is None
    told = packet.sidecar()
    assert told.count(b'xmp:Rating="5"') == 1
    assert told.count(b"<xmp:Label>chosen</xmp:Label>") == 1
    assert b"pick" not in told
    assert Packet(told).text("xmp:CreatorTool") == "setsolver"


def test_words_that_are_set_stand_alone_and_an_array_takes_more():
    packet = Packet(XMP)
    packet.array("dc:subject").append(etree.Element(name("rdf:li")))
    assert words(packet, "dc:subject") == ["kiln", None]
    packet.set_words("dc:subject", ["jug", "bowl"])
    assert words(packet, "dc:subject") == ["jug", "bowl"]
    assert packet.find("dc:subject")[0].tag == name("rdf:Bag")
    packet.set_words("dc:creator", ["The potter"], "Seq")
    assert packet.find("dc:creator")[0].tag == name("rdf:Seq")
    packet.set_language("dc:title", "The hall")
    packet.set_language("dc:title", "The yard")
    assert words(packet, "dc:title") == ["The yard"]
    assert packet.array("dc:publisher").tag == name("rdf:Bag")


def test_what_is_taken_over_is_named_or_of_a_namespace():
    packet = Packet()
    packet.take(Packet(XMP), ["xmp:Rating", "dc:subject"], ["xmpRights"])
    assert [packet.has(prop) for prop in ("xmp:Rating", "dc:subject", "xmpRights:Marked")] == [True] * 3
    assert not packet.has("xmp:Label")
    assert (packet.text("xmp:Rating"), words(packet, "dc:subject")) == ("3", ["kiln"])
    assert packet.embedded().count(b"<rdf:Description") == 1


@pytest.mark.parametrize("data", [None, XMP])
def test_a_packet_has_one_wrapper_however_often_it_is_written(data):
    once = Packet(data).sidecar()
    assert once.startswith(b'<?xml version="1.0" encoding="UTF-8"?>\n<?xpacket begin="\xef\xbb\xbf"')
    assert once.rstrip().endswith(b'<?xpacket end="w"?>')
    assert Packet(once).sidecar().count(b"<?xpacket ") == 2
    assert Packet(data).embedded() == once.split(b"\n", 1)[1]


def test_zeros_and_blanks_about_a_packet_are_none_of_it():
    assert Packet(b"\0\0 \r\n" + XMP + b"\n\0\0").text("xmp:Label") == "pick"
    limit = 4_000_000
    assert Packet(XMP + b" " * (limit - len(XMP))).text("xmp:Label") == "pick"
    with pytest.raises(Unmergeable, match="4 million"):
        Packet(XMP + b" " * (limit - len(XMP) + 1))

"""XMP packets (ISO 16684-1): the example in tests/data/metadata, both spellings of properties, hostile input."""

from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from setsolver.catalog.xmp import Packet, read_packet, title_of

EXAMPLE = Path(__file__).parents[1] / "data" / "metadata" / "example_packet.xmp"


def packet(body="", attributes=""):
    return f"""<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
    <rdf:Description rdf:about="" xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmlns:dc="http://purl.org/dc/elements/1.1/"
    {attributes}>{body}</rdf:Description></rdf:RDF></x:xmpmeta>""".encode()


def test_the_example_packet():
    found = read_packet(EXAMPLE.read_bytes())
    assert found.rating == 4
    assert found.keywords == ("wall set 1", "hero")
    assert found.created == datetime(2024, 5, 1, 10, 20, 30, 250_000, timezone(timedelta(hours=2)))


@pytest.mark.parametrize(
    ("text", "rating"),
    [("-1", -1), ("3.5", 3.5), ("5", 5), ("0", None), ("6", None), ("-2", None), ("many", None), ("", None)],
)
def test_ratings_as_element_and_as_attribute(text, rating):
    assert read_packet(packet(f"<xmp:Rating>{text}</xmp:Rating>")).rating == rating
    assert read_packet(packet(attributes=f'xmp:Rating="{text}"')).rating == rating


def test_keywords_absent_and_empty_are_told_apart():
    assert read_packet(packet()).keywords is None
    assert read_packet(packet("<dc:subject><rdf:Bag/></dc:subject>")).keywords == ()


@pytest.mark.parametrize("text", ["2026", "2026-05-02", "2026-13-02T10:00", "soon"])
def test_dates_without_a_time_of_day_or_absurd_say_nothing(text):
    assert read_packet(packet(f"<xmp:CreateDate>{text}</xmp:CreateDate>")).created is None


@pytest.mark.parametrize("data", [b"", b"\0", b"no xml", b"<x", b"\xff\xfe\x00"])
def test_what_is_no_xml_says_nothing_and_is_broken(data):
    assert read_packet(data) == Packet(broken=True)


def test_xml_without_metadata_says_nothing_and_is_not_broken():
    assert read_packet(b"<a/>") == Packet()


def test_entities_are_not_resolved(tmp_path):
    secret = tmp_path / "secret.txt"
    secret.write_text("5")
    hostile = f'<!DOCTYPE x [<!ENTITY e SYSTEM "{secret.as_uri()}">]>'.encode() + packet("<xmp:Rating>&e;</xmp:Rating>")
    assert read_packet(hostile).rating is None


def test_a_billion_laughs_ends_at_once():
    laughs = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' for n in range(1, 10))
    hostile = f'<!DOCTYPE x [<!ENTITY l0 "ha">{laughs}]>'.encode() + packet("<xmp:Rating>&l9;</xmp:Rating>")
    assert read_packet(hostile).rating is None


@pytest.mark.parametrize("kind", ["utf-16", "utf-8-sig"])
def test_other_encodings_of_unicode_are_xml_too(kind):
    """XML 1.0, fifth edition, 4.3.3: every processor reads UTF-16 with a byte order mark."""
    data = packet("<xmp:Rating>4</xmp:Rating>").decode().encode(kind)
    assert read_packet(data) == Packet(rating=4)


def test_a_title_is_that_of_its_first_language():
    """dc:title is a language alternative whose default comes first (XMP, from memory)."""
    items = "<rdf:li xml:lang='x-default'> The kiln </rdf:li><rdf:li xml:lang='de'>Ofen</rdf:li>"
    assert title_of(packet(f"<dc:title><rdf:Alt>{items}</rdf:Alt></dc:title>")) == "The kiln"
    assert title_of(packet()) == ""
    assert title_of(b"no packet") == ""

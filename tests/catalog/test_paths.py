"""Names of any bytes as text, and back."""

import os
from pathlib import Path

from hypothesis import example, given
from hypothesis import strategies as st

from setsolver.catalog.paths import to_file, to_text

NAMES = st.binary(min_size=1, max_size=30).filter(
    lambda name: b"\0" not in name and b"/" not in name and name not in {b".", b".."}  # no file has these names
)


@given(NAMES)
@example(rb"\xff.jpg")
@example(b"\xff.jpg")
@example(b"\\\xff.jpg")
@example(rb"\x5cxff.jpg")
@example("Töpferei am Hang.jpg".encode())
def test_any_bytes_come_back(name):
    text = to_text(os.fsdecode(name))
    assert text.encode("utf-8").decode("utf-8") == text
    assert os.fsencode(to_file(Path("folder"), text)) == b"folder/" + name


@given(NAMES, NAMES)
def test_different_names_stay_different(one, two):
    assert (to_text(os.fsdecode(one)) == to_text(os.fsdecode(two))) == (one == two)


def test_plain_names_stay_as_they_are():
    assert to_text("kiln/fire 'one' <b>\n.jpg") == "kiln/fire 'one' <b>\n.jpg"

"""Documents are read within bounds."""

import os

import pytest

from setsolver.errors import BadInput
from setsolver.reading import read_within


def test_a_document_is_read_up_to_its_bound(tmp_path):
    (tmp_path / "a").write_bytes(b"12345")
    assert read_within(tmp_path / "a", 5) == b"12345"
    with pytest.raises(BadInput, match="more than 4 bytes"):
        read_within(tmp_path / "a", 4)


@pytest.mark.skipif(os.name != "posix", reason="this system has no endless device")
def test_a_device_that_never_ends_does(tmp_path):
    (tmp_path / "a").symlink_to("/dev/zero")
    with pytest.raises(BadInput, match="more than 1,000 bytes"):
        read_within(tmp_path / "a", 1000)

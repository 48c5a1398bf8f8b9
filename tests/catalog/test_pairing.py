"""Which files of a folder are one frame."""

from setsolver.catalog.listing import listing
from setsolver.catalog.pairing import companion_of


def test_the_companion_of_a_file_is_the_one_that_is_listed(tmp_path):
    for name in ("kiln.JPG", "kiln.nef", "Kiln.DNG", "kiln.tif", "jar.jpg", "jar2.nef", "pot.nef", "pot.dng"):
        (tmp_path / name).write_bytes(b"x")
    for listed in listing(tmp_path).frames:
        assert companion_of(listed.file) == listed.companion
    assert companion_of(tmp_path / "kiln.JPG") == tmp_path / "Kiln.DNG"  # the first by name

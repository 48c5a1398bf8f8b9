"""TIFF as it is written, by tifffile, Pillow, libvips and exiftool; where rows lie in files of tifffile and libvips."""

import json
import math
import shutil
import subprocess
import sys

import numpy as np
import pytest
import pyvips
import tifffile
from hypothesis import example, given, settings
from hypothesis import strategies as st
from PIL import Image

from setsolver.render.save import srgb_profile
from setsolver.render.tiff import Rows, rows_in, write_tiff

XMP = (
    b"<?xpacket begin='\xef\xbb\xbf' id='W5M0MpCehiHzreSzNTczkc9d'?>"
    b"<x:xmpmeta xmlns:x='adobe:ns:meta/'/><?xpacket end='w'?>"
)


def noise(height, width, kind=np.uint16):
    return np.random.default_rng(height * width).integers(0, np.iinfo(kind).max + 1, (height, width, 3), dtype=kind)


@pytest.mark.parametrize(("height", "width"), [(1, 1), (7, 300), (128, 3), (129, 40), (700, 11)])
def test_three_readers_find_the_codes(tmp_path, height, width):
    codes, path = noise(height, width), tmp_path / "a.part"
    write_tiff(path, codes, 300.0, srgb_profile(), XMP)
    assert (tifffile.imread(path) == codes).all()
    assert (pyvips.Image.new_from_file(str(path)).numpy() == codes).all()
    with Image.open(path) as image:  # Pillow keeps 8 bits of 16
        assert (np.asarray(image) == codes >> 8).all()


def test_tags_say_what_the_file_is(tmp_path):
    """By name as TIFF 6.0 has them; 700 and 34675 as their registries do."""
    write_tiff(tmp_path / "a.part", noise(300, 20), 203.5, srgb_profile(), XMP)
    with tifffile.TiffFile(tmp_path / "a.part") as file:
        assert len(file.pages) == 1
        page = file.pages[0]
        tags = {tag.name: tag.value for tag in page.tags}
        codes = [tag.code for tag in page.tags]
    assert codes == sorted(codes)  # section 2: in ascending order
    assert (page.photometric, page.compression, page.planarconfig) == (2, 1, 1)
    assert (tags["ImageWidth"], tags["ImageLength"], tags["RowsPerStrip"]) == (20, 300, 128)
    assert tags["BitsPerSample"] == (16, 16, 16)
    assert tags["StripByteCounts"] == (128 * 120, 128 * 120, 44 * 120)
    assert tags["XResolution"] == tags["YResolution"] == (407, 2)
    assert (tags["ResolutionUnit"], tags["Orientation"]) == (2, 1)
    assert bytes(tags["InterColorProfile"]) == srgb_profile()
    assert bytes(tags["XMP"]) == XMP


@pytest.mark.skipif(shutil.which("exiftool") is None, reason="exiftool is not installed")
def test_exiftool_reads_it_without_a_warning(tmp_path):
    write_tiff(tmp_path / "a.tif", noise(300, 20), 203.5, srgb_profile(), XMP)
    command = ["exiftool", "-json", "-n", "-validate", "-Warning", "-XResolution", "-ImageHeight", "a.tif"]
    done = subprocess.run(command, cwd=tmp_path, check=True, capture_output=True, text=True)
    (found,) = json.loads(done.stdout)
    assert "Warning" not in found, found
    assert (found["XResolution"], found["ImageHeight"]) == (203.5, 300)


def test_without_a_packet_there_is_no_tag_of_it(tmp_path):
    write_tiff(tmp_path / "a.part", noise(3, 4), 300, srgb_profile())
    with tifffile.TiffFile(tmp_path / "a.part") as file:
        assert 700 not in file.pages[0].tags


@settings(max_examples=60, deadline=None)
@given(ppi=st.floats(1, 5000) | st.floats(2.4e-10, 4.2e9))
@example(1e-6)
@example(4.2e9)
def test_a_resolution_is_kept(tmp_path_factory, ppi):
    path = tmp_path_factory.mktemp("ppi") / "a.part"
    write_tiff(path, noise(1, 1), ppi, srgb_profile())
    with tifffile.TiffFile(path) as file:
        top, bottom = file.pages[0].tags["XResolution"].value
    assert top / bottom == pytest.approx(ppi, abs=min(1e-4, ppi * 1e-4), rel=1e-6)


@pytest.mark.parametrize("ppi", [1e-10, 5e9, 0.0, -300.0, math.inf, math.nan])
def test_a_resolution_that_no_file_can_tell_is_refused_before_anything_is_written(tmp_path, ppi):
    with pytest.raises(ValueError, match="cannot be told in a TIFF"):
        write_tiff(tmp_path / "a.part", noise(1, 1), ppi, srgb_profile())
    assert not (tmp_path / "a.part").exists()


def test_a_picture_that_is_a_part_of_another_is_written_as_it_is(tmp_path):
    whole = noise(40, 50)
    write_tiff(tmp_path / "a.part", whole[3:30, 5:40], 300, srgb_profile())
    assert (tifffile.imread(tmp_path / "a.part") == whole[3:30, 5:40]).all()


def test_more_than_32_bits_count_is_refused_before_anything_is_written(tmp_path):
    codes = np.broadcast_to(np.zeros(3, np.uint16), (30_000, 24_000, 3))  # takes no memory
    with pytest.raises(ValueError, match="too many for a TIFF"):
        write_tiff(tmp_path / "a.part", codes, 300, srgb_profile())
    assert not (tmp_path / "a.part").exists()


@pytest.mark.parametrize("kind", [np.uint8, np.uint16])
@pytest.mark.parametrize("rows", [1, 5, 40])
def test_rows_are_found_where_they_lie(tmp_path, kind, rows):
    codes, path = noise(40, 21, kind), tmp_path / "a.tif"
    tifffile.imwrite(path, codes, photometric="rgb", rowsperstrip=rows)
    found = rows_in(path, 21, 40)
    assert found is not None
    assert found.kind == kind
    assert (np.fromfile(path, kind, codes.size, offset=found.start).reshape(codes.shape) == codes).all()


def test_our_own_rows_and_those_of_libvips_are_found(tmp_path):
    codes = noise(300, 20)
    write_tiff(tmp_path / "a.tif", codes, 300, srgb_profile(), XMP)
    pyvips.Image.new_from_array(codes).copy(interpretation="rgb16").tiffsave(str(tmp_path / "b.tif"))
    for name in ("a.tif", "b.tif"):
        found = rows_in(tmp_path / name, 20, 300)
        assert isinstance(found, Rows)
        data = np.fromfile(tmp_path / name, np.uint16, codes.size, offset=found.start)
        assert (data.reshape(codes.shape) == codes).all()


OTHER_ORDER = ">" if sys.byteorder == "little" else "<"


@pytest.mark.parametrize(
    "options",
    [
        {"photometric": "rgb", "compression": "zlib"},
        {"photometric": "rgb", "byteorder": OTHER_ORDER},
        {"photometric": "rgb", "planarconfig": "separate"},
        {"photometric": "rgb", "tile": (16, 16)},
        {"photometric": "rgb", "bigtiff": True},
        {"photometric": "ycbcr"},
    ],
)
def test_rows_that_are_not_there_as_they_are_are_left_to_a_library(tmp_path, options):
    codes = noise(48, 32, np.uint8) if options["photometric"] == "ycbcr" else noise(48, 32)
    codes = codes.transpose(2, 0, 1) if options.get("planarconfig") else codes
    tifffile.imwrite(tmp_path / "a.tif", codes, **options)
    assert rows_in(tmp_path / "a.tif", 32, 48) is None


def test_rows_of_another_picture_or_of_grey_or_of_no_tiff_are_none(tmp_path):
    tifffile.imwrite(tmp_path / "a.tif", noise(48, 32), photometric="rgb")
    assert rows_in(tmp_path / "a.tif", 48, 32) is None
    tifffile.imwrite(tmp_path / "b.tif", noise(48, 32)[..., 0], photometric="minisblack")
    assert rows_in(tmp_path / "b.tif", 32, 48) is None
    (tmp_path / "c.tif").write_bytes(b"no picture at all")
    assert rows_in(tmp_path / "c.tif", 32, 48) is None


def test_strips_in_another_order_than_their_rows_are_left_to_a_library(tmp_path):
    """TIFF 6.0 lets a strip lie anywhere (StripOffsets): here the second before the first."""
    codes, path = noise(256, 20), tmp_path / "a.tif"
    write_tiff(path, codes, 300, srgb_profile())
    with tifffile.TiffFile(path) as file:
        offsets = file.pages[0].tags["StripOffsets"]
        first, second = offsets.value
        where = offsets.valueoffset
    data = bytearray(path.read_bytes())
    data[where : where + 8] = np.array([second, first], np.uint32).tobytes()
    path.write_bytes(data)
    assert (tifffile.imread(path) == np.concatenate([codes[128:], codes[:128]])).all()
    assert rows_in(path, 20, 256) is None

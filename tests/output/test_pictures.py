"""Pictures through a loader: decoded once, mono where asked, grey where the file is gone."""

from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from setsolver.catalog.limits import segments
from setsolver.domain.outcome import Correction
from setsolver.errors import FrameRefused
from setsolver.output.jpeg import data_uri, jpeg
from setsolver.output.pictures import _HELD, DECODE, Pictures
from setsolver.output.toned import cut
from tests.output.builders import painted, set_frame


def test_a_frame_is_decoded_once_however_often_it_is_shown():
    asked = []

    def loader(path, long_side):
        asked.append((path, long_side))
        return painted(path, 300)

    pictures = Pictures(loader)
    pictures.whole("a.jpg", 100)
    pictures.finished(set_frame("a.jpg"), 80)
    pictures.as_shot(set_frame("a.jpg"), 80)
    assert asked == [("a.jpg", DECODE)]


def test_finished_is_corrected_and_as_shot_is_not():
    pictures = Pictures(painted)
    frame = set_frame(correction=Correction(black=0, mid=8, white=0))
    assert pictures.finished(frame, 90).mean() > pictures.as_shot(frame, 90).mean() + 3


def test_as_shot_in_colour_is_the_crop_and_nothing_else():
    frame = set_frame(correction=Correction(black=3, mid=8, white=-5, cast_b=4), crop=(0.1, 0.2, 0.5, 0.6))
    shown = Pictures(painted).as_shot(frame, 90)
    assert np.array_equal(shown, cut(painted("a.jpg", DECODE), frame.crop, 0.0, 90))
    assert np.ptp(shown, axis=2).max() > 10
    assert np.array_equal(Pictures(painted).whole("a.jpg", 90), cut(painted("a.jpg", DECODE), (0, 0, 1, 1), 0.0, 90))


def test_the_frame_that_was_longest_out_of_use_is_let_go_first():
    asked = []
    pictures = Pictures(lambda path, side: asked.append(path) or painted(path, 40))
    names = [f"{n}.jpg" for n in range(_HELD)]
    for name in (*names, names[0], "more.jpg", *names[2:], names[0], "more.jpg"):
        pictures.whole(name, 20)
    assert asked == [*names, "more.jpg"]
    pictures.whole(names[1], 20)
    assert asked == [*names, "more.jpg", names[1]]


def test_mono_is_grey_before_and_after():
    pictures = Pictures(painted)
    frame = set_frame(treatment="mono")
    for picture in (pictures.as_shot(frame, 60), pictures.finished(frame, 60)):
        assert np.ptp(picture, axis=2).max() <= 1


@pytest.mark.parametrize("error", [FileNotFoundError("gone"), FrameRefused("gone")])
def test_a_file_that_is_gone_leaves_grey_and_its_reason(error):
    def loader(path, long_side):
        raise error

    pictures = Pictures(loader)
    assert np.ptp(pictures.whole("a.jpg", 100)) == 0
    assert pictures.unreadable == {"a.jpg": "gone"}


def test_other_errors_are_not_swallowed():
    def loader(path, long_side):
        raise KeyError(path)

    with pytest.raises(KeyError):
        Pictures(loader).whole("a.jpg", 100)


def test_jpeg_is_baseline_without_metadata_and_with_tables_of_its_own():
    """ITU-T T.81: SOF0 is baseline (B.1.1.3); tables made for a picture (annex K.2) are shorter."""
    data, usual = jpeg(painted("a", 200)), BytesIO()
    Image.fromarray(painted("a", 200)).save(usual, "JPEG", quality=82)
    kinds = [marker for marker, _, _ in segments(BytesIO(data))]
    assert 0xC0 in kinds
    assert not {0xC2, 0xE1, 0xE2, 0xED} & set(kinds)
    assert len(data) < len(usual.getvalue())
    assert np.array_equal(np.asarray(Image.open(BytesIO(data))), np.asarray(Image.open(usual)))


def test_jpeg_is_jpeg():
    assert jpeg(painted("a", 60))[:3] == b"\xff\xd8\xff"
    assert data_uri(painted("a", 60)).startswith("data:image/jpeg;base64,/9j/")

"""What grouping is told of cameras and light."""

import numpy as np
import pytest

from setsolver.catalog.records import Likeness
from setsolver.domain.frame import Shot
from setsolver.usecases.grouping import sighting_of


def seen(*shots):
    count = len(shots)
    return sighting_of(
        Likeness(np.ones((count, 1280), np.float16), np.zeros(count, np.uint64), tuple(shots), ("",) * count)
    )


def test_two_bodies_of_one_model_are_two_cameras():
    found = seen(*(Shot(camera="Clay One", body=body) for body in ("0042", "0077", "0042")))
    assert found.camera.tolist() == [0, 1, 0]
    assert found.cameras == ("Clay One no. 0042", "Clay One no. 0077")


def test_one_body_keeps_the_plain_name():
    found = seen(Shot(camera="Clay One", body="0042"), Shot(camera="Clay Two", body="0042"))
    assert found.cameras == ("Clay One", "Clay Two")


def test_a_frame_without_serial_number_beside_one_with_it_is_another_camera():
    found = seen(Shot(camera="Clay One", body="0042"), Shot(camera="Clay One"), Shot())
    assert found.camera.tolist() == [0, 1, -1]


def test_light_is_the_exposure_value_at_iso_100():
    # f/16, 1/125 s, ISO 100: EV 15, full sun (ISO 2720:1974; APEX, Exif 2.32 annex C: Av 8 + Tv 6.97)
    found = seen(Shot(aperture=16.0, exposure_s=1 / 125, iso=100.0), Shot(aperture=16.0))
    assert found.light[0] == pytest.approx(15, abs=0.05)
    assert np.isnan(found.light[1])

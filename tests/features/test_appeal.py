"""Appeal: on its scale, better for a good picture than for its ruin, left for later with CLIP."""

from dataclasses import fields, replace

import cv2
import numpy as np
import pytest

from setsolver.domain.measures import Clip
from setsolver.features.appeal import NUMBERS, look_of, numbers_of
from setsolver.features.appeal_head import AppealHead, unit_rows
from setsolver.features.measure import measure
from tests.rules.builders import make_face, make_frame


@pytest.fixture(scope="module")
def coffee():
    """A cup on a table, Rachel Michetti, CC0; carried by scikit-image."""
    from skimage import data  # noqa: PLC0415 - slow to import, only where the picture is asked for

    return np.ascontiguousarray(data.coffee())


def test_a_picture_that_was_spoilt_appeals_less(coffee, models):
    spoilt = cv2.GaussianBlur(coffee, (0, 0), 12) // 4 + 10
    good, bad = (measure(picture, models=models).appeal for picture in (coffee, spoilt.astype(np.uint8)))
    assert 1 <= bad.value < good.value <= 5
    assert good.value - bad.value > 0.5
    assert 0.2 < good.spread < 1


def test_numbers_are_of_one_length_with_and_without_faces():
    for faces in ((), (make_face(0.5, 0.4), make_face(0.2, 0.2))):
        found = make_frame(0, faces=faces).measures
        numbers = numbers_of(found.tone, found.detail, found.quality, found.subject, found.faces)
        assert len(numbers) == NUMBERS
        assert np.isfinite(numbers).all()


def test_without_clip_there_is_no_appeal(models):
    assert look_of(make_frame(0).measures) is None
    none = np.zeros(768, np.float16)
    assert look_of(replace(make_frame(0).measures, clip=Clip(none[:512], none, none))) is None
    assert measure(None, models=models, known=make_frame(0).measures, names={"appeal", "kind"}).appeal is None


def test_the_head_comes_back_from_its_arrays(models):
    back = AppealHead.of_arrays(models.appeal.arrays())
    for one in fields(AppealHead):
        assert getattr(back, one.name) == pytest.approx(getattr(models.appeal, one.name), abs=1e-3)


def test_the_regression_is_the_sum_over_its_points():
    """By hand: two points one unit apart, weights 2 and -1, bias 3; at the first point 3 + 2 - exp(-1)."""
    head = replace_points(np.array([[0.0], [1.0]]), weights=[2.0, -1.0])
    assert head.value(np.array([[0.0], [1.0]], np.float32)) == pytest.approx([5 - np.exp(-1), 2 + 2 * np.exp(-1)])
    assert head.spread(1.0) == pytest.approx(0.5)
    assert head.spread(3.0) == pytest.approx(0.4)


def replace_points(points, weights):
    sizes = {"clip_mean": 2, "places_mean": 2, "lite_mean": 2, "numbers_mean": 1, "numbers_deviation": 1, "shares": 5}
    arrays = {name: np.ones(size, np.float32) for name, size in sizes.items()}
    arrays |= {"axes": np.eye(8, 1), "points": points, "steps": np.ones(1), "weights": weights, "bias": [3.0]}
    return AppealHead.of_arrays(arrays | {"levels": [2.0, 4.0], "spreads": [0.5, 0.3]})


def test_rows_about_a_centre_have_length_one_and_the_centre_itself_none():
    rows = unit_rows(np.array([[3.0, 4.0], [1.0, 1.0]]), np.array([1.0, 1.0]))
    assert np.linalg.norm(rows, axis=1) == pytest.approx([1, 0])


def test_a_frame_lies_in_one_place_however_many_are_asked_about(coffee, models):
    look = look_of(measure(coffee, models=models))
    both = type(look)(*(np.vstack([part, part]) for part in look))
    assert models.appeal.at(*both)[1] == pytest.approx(models.appeal.at(*look)[0], abs=1e-5)

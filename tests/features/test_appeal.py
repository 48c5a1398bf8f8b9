"""Appeal: on its scale, better for a good picture than for its ruin, left for later with CLIP."""

from dataclasses import fields, replace

import cv2
import numpy as np
import pytest

from setsolver.domain.geometry import Box
from setsolver.domain.measures import Clip, Detail, Face, Subject, Tone, Tuned
from setsolver.features.appeal import NUMBERS, look_of, numbers_of
from setsolver.features.appeal_head import AppealHead, unit_rows
from setsolver.features.measure import measure
from setsolver.features.sight import FEATURES, Sight
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
    seen = replace(make_frame(0).measures, clip=Clip(none[:512], none, none))
    assert look_of(seen) is None
    assert look_of(replace(seen, layers=none[:128])) is None
    assert look_of(replace(seen, tuned=Tuned(3.0, 0.5))) is None
    assert look_of(replace(seen, layers=none[:128], tuned=Tuned(3.0, 0.5))).tuned == [3.0]
    assert measure(None, models=models, known=make_frame(0).measures, names={"appeal", "kind"}).appeal is None


def test_the_head_comes_back_from_its_arrays(models):
    back = AppealHead.of_arrays(models.appeal.arrays())
    for one in fields(AppealHead):
        assert getattr(back, one.name) == pytest.approx(getattr(models.appeal, one.name), abs=1e-3)


def test_the_regression_is_the_sum_over_its_points():
    """By hand: two points one unit apart, weights 2 and -1, bias 3; at the first point 3 + 2 - exp(-1)."""
    head = replace_points(np.array([[0.0], [1.0]]), weights=[2.0, -1.0])
    at = np.array([[0.0], [1.0]], np.float32)
    assert head.told(at) == pytest.approx([5 - np.exp(-1), 2 + 2 * np.exp(-1)])
    assert head.spread(1.0) == pytest.approx(0.5)
    assert head.spread(3.0) == pytest.approx(0.4)


def test_what_the_tuned_network_says_is_weighed_with_the_regression():
    """By hand: 0.5 + 2 * (3 + 2 - exp(-1)) - 0.25 * 4 at the first point, - 0.25 * 2 at the second."""
    head = replace(replace_points(np.array([[0.0], [1.0]]), weights=[2.0, -1.0]), mix=np.float32([0.5, 2, -0.25]))
    at = np.array([[0.0], [1.0]], np.float32)
    said = head.value(at, np.array([4.0, 2.0]))
    assert said == pytest.approx([0.5 + 2 * (5 - np.exp(-1)) - 1, 0.5 + 2 * (2 + 2 * np.exp(-1)) - 0.5])


def replace_points(points, weights):
    sizes = {"clip_mean": 2, "places_mean": 2, "lite_mean": 2, "numbers_mean": 1, "numbers_deviation": 1, "shares": 5}
    arrays = {name: np.ones(size, np.float32) for name, size in sizes.items()}
    arrays |= {"axes": np.eye(8, 1), "points": points, "steps": np.ones(1), "weights": weights, "bias": [3.0]}
    arrays["mix"] = np.ones(3)
    return AppealHead.of_arrays(arrays | {"levels": [2.0, 4.0], "spreads": [0.5, 0.3]})


def test_rows_about_a_centre_have_length_one_and_the_centre_itself_none():
    rows = unit_rows(np.array([[3.0, 4.0], [1.0, 1.0]]), np.array([1.0, 1.0]))
    assert np.linalg.norm(rows, axis=1) == pytest.approx([1, 0])


def test_a_frame_lies_in_one_place_however_many_are_asked_about(coffee, models):
    look = look_of(measure(coffee, models=models))
    both = type(look)(*(np.concatenate([part, part]) for part in look))
    assert models.appeal.at(*both[:-1])[1] == pytest.approx(models.appeal.at(*look[:-1])[0], abs=1e-5)
    told = models.appeal.value(models.appeal.at(*both[:-1]), both.tuned)
    assert told == pytest.approx(measure(coffee, models=models).appeal.value, abs=1e-5)


TONE = Tone(*range(1, 12))
DETAIL = Detail(0.8, 0.1, 0.3, np.zeros((8, 8), np.float32))


def subject(attention: np.ndarray) -> Subject:
    return Subject(Box(0.1, 0.2, 0.4, 0.3), 0.7, attention)


def test_numbers_of_a_frame_by_hand():
    """The subject's middle is (0.3, 0.35); two of 256 places with a half each are ln 2 even."""
    attention = np.zeros((16, 16), np.float32)
    attention[3, 4] = attention[9, 2] = 0.5
    expected = [*range(1, 12), 0.8, 0.1, 0.3, 0.6, -0.2, -0.15, 0.2, 0.12, 0.7]
    assert numbers_of(TONE, DETAIL, 0.6, subject(attention), ()) == pytest.approx(
        [*expected, 0, 0, 0, 0, 0, 0.3, np.log(2)], abs=1e-6
    )
    faces = (
        Face(Box(0.6, -0.05, 0.2, 0.1), 0.9, "front", 0.4),
        Face(Box(0.1, 0.5, 0.1, 0.15), 0.9, "left", 0.9),
        Face(Box(0.2, 0.5, 0.1, 0.12), 0.9, "right", 0.1),
    )
    assert numbers_of(TONE, DETAIL, 0.6, subject(attention), faces) == pytest.approx(
        [*expected, 0.15, 3, 0.9, 1 / 3, 0.2, 0.0, np.log(2)], abs=1e-6
    )
    lower = (faces[0]._replace(box=Box(0.6, 0.25, 0.2, 0.1)),)
    assert numbers_of(TONE, DETAIL, 0.6, subject(attention), lower)[-2] == 0.25


@pytest.mark.parametrize(("count", "told"), [(5, 5), (6, 6), (9, 6)])
def test_more_than_six_faces_are_a_crowd_like_any_other(count, told):
    faces = tuple(Face(Box(0.1, 0.1, 0.1, 0.1), 0.9, "front", 0.4) for _ in range(count))
    numbers = numbers_of(TONE, DETAIL, 0.6, subject(np.full((16, 16), 1 / 256, np.float32)), faces)
    assert (numbers[21], numbers[23]) == (told, 1)
    assert numbers[-1] == pytest.approx(np.log(256), abs=1e-4)


def test_rows_are_the_parts_by_the_roots_of_their_shares():
    """By hand: (4, 5) about (1, 1) is (0.6, 0.8); roots of (25, 16); numbers held to 3 deviations, over root 2."""
    one = np.array([1.0, 1.0])
    head = AppealHead.of_arrays({
        "clip_mean": one, "places_mean": one, "lite_mean": one, "numbers_mean": np.array([1.0, 2.0]),
        "numbers_deviation": np.array([2.0, 0.5]), "shares": np.array([4, 9, 16, 25, 36.0]), "axes": np.eye(10),
        "points": np.zeros((1, 10)), "steps": np.ones(10), "weights": [0.0], "bias": [0.0], "mix": [0, 1, 0],
        "levels": [1.0], "spreads": [1.0],
    })  # fmt: skip
    look = [np.array([row]) for row in ([4, 5], [5, 4], [25, 16], [4.0, 9.0], [0.1, -0.2])]
    root = np.sqrt(2)
    assert head.rows(*look)[0] == pytest.approx(
        [1.2, 1.6, 2.4, 1.8, 3.2, 2.4, 7.5 / root, 15 / root, 0.6, -1.2], abs=1e-6
    )
    look[3] = np.array([[-99.0, 2.0]])
    look[2] = np.array([[-4.0, 1.0]])  # what cannot be counts as nothing
    assert head.rows(*look)[0, 4:8] == pytest.approx([-4, 0, -15 / root, 0], abs=1e-6)


def test_appeal_stays_on_its_scale(models):
    class Head:
        at = staticmethod(lambda *_: None)
        spread = staticmethod(lambda value: value / 10)

        def __init__(self, value):
            self.value = lambda *_: np.array([value])

    clip, layers = Clip(*[np.zeros(8, np.float16)] * 3), np.zeros(4, np.float16)
    found = replace(make_frame(0).measures, clip=clip, layers=layers, tuned=Tuned(3.0, 0.5))
    sight = {field.name: getattr(found, field.name) for field in fields(found)}
    for value, told in ((-2.0, 1.0), (1.5, 1.5), (4.5, 4.5), (7.0, 5.0)):
        assert FEATURES["appeal"](Sight(None, replace(models, appeal=Head(value)), sight)) == (told, told / 10)

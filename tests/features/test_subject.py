"""Subjects of painted pictures whose boxes are known."""

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.ndimage import gaussian_filter

from setsolver.domain.geometry import Box
from setsolver.domain.measures import Face
from setsolver.features import subject as module
from setsolver.features.attention import look
from setsolver.features.cells import area_means
from setsolver.features.saliency import enclosed, surprising
from setsolver.features.subject import find_subject
from setsolver.features.views import make_views

EVEN = np.zeros((7, 7), np.float32)
SIZE = (400, 600)


def meadow(seed: int = 0) -> np.ndarray:
    """Green noise, coarse and fine, as grass; uint8[400, 600, 3]."""
    random = np.random.default_rng(seed)
    coarse = cv2.resize(random.normal(0, 9, (50, 75)).astype(np.float32), SIZE[::-1], interpolation=cv2.INTER_CUBIC)
    grass = coarse + random.normal(0, 12, SIZE)
    return np.clip(grass[..., None] + (95, 120, 60), 0, 255).astype(np.uint8)


def with_spot(rgb: np.ndarray, x: float, y: float, radius: float = 0.12, colour=(205, 60, 40)) -> np.ndarray:
    """Paint a shaded ball; its box is ``box_of``."""
    rows, columns = np.mgrid[: SIZE[0], : SIZE[1]]
    away = np.hypot(columns - x * SIZE[1], rows - y * SIZE[0]) / (radius * SIZE[0])
    shade = np.clip(1.1 - 0.5 * away, 0, 1)[..., None] * np.array(colour)
    return np.where((away < 1)[..., None], shade, rgb).astype(np.uint8)


def box_of(x: float, y: float, radius: float = 0.12) -> Box:
    across = radius * SIZE[0] / SIZE[1]
    return Box(x - across, y - radius, 2 * across, 2 * radius)


def subject_of(rgb, models):
    views = make_views(rgb)
    _, places, _ = look(views.middle, models.embedding)
    return find_subject(views, places, (), 0.1)


def in_common(first: Box, second: Box) -> float:
    both = first.overlap(second)
    return both / (first.area + second.area - both)


@pytest.mark.parametrize("ground", ["grey", "meadow"])
@pytest.mark.parametrize(("x", "y"), [(0.5, 0.5), (0.25, 0.4), (0.72, 0.66), (0.3, 0.75)])
def test_a_thing_on_a_ground_is_the_subject_wherever_it_lies(ground, x, y, models):
    rgb = np.full((*SIZE, 3), 110, np.uint8) if ground == "grey" else meadow()
    subject = subject_of(with_spot(rgb, x, y), models)
    spot = box_of(x, y)
    assert spot.overlap(subject.box) > 0.8 * spot.area
    assert in_common(spot, subject.box) > 0.25
    assert subject.confidence > 0.5


def test_of_two_things_one_is_the_subject_and_both_draw_attention(models):
    subject = subject_of(with_spot(with_spot(meadow(), 0.22, 0.5, 0.16), 0.8, 0.55, 0.1), models)
    large, small = box_of(0.22, 0.5, 0.16), box_of(0.8, 0.55, 0.1)
    assert large.overlap(subject.box) > 0.8 * large.area
    assert subject.attention[:, 1:6].sum() > 0.3
    assert subject.attention[6:11, 11:15].sum() > 1.5 * subject.attention[6:11, 6:10].sum()
    assert small.overlap(subject.box) in (0, pytest.approx(small.area, rel=0.2))


def test_a_picture_without_anything_is_a_guess(models):
    assert subject_of(np.full((*SIZE, 3), 90, np.uint8), models).confidence < 0.05
    subject = find_subject(make_views(np.full((*SIZE, 3), 90, np.uint8)), EVEN, (), 0.0)
    assert subject.confidence < 0.05
    assert subject.attention.sum() == pytest.approx(1, abs=1e-5)


def test_a_wide_view_is_less_sure_of_its_subject(models):
    views = make_views(with_spot(meadow(), 0.5, 0.5))
    _, places, _ = look(views.middle, models.embedding)
    close, wide = (find_subject(views, places, (), odds).confidence for odds in (0.05, 0.95))
    assert wide < close - 0.2


def test_attention_follows_what_the_network_speaks_of():
    places = EVEN.copy()
    places[4:6, 1:3] = 1.0
    subject = find_subject(make_views(meadow(3)), places, (), 0.1)
    assert subject.box.overlap(Box(1 / 7, 4 / 7, 2 / 7, 2 / 7)) > 0.6 * (2 / 7) ** 2
    assert subject.attention[8:14, :8].sum() > 0.6


def test_the_box_holds_every_face_of_size():
    faces = tuple(Face(Box(x, 0.3, 0.1, 0.15), 0.9, "front", 0.5) for x in (0.2, 0.7))
    subject = find_subject(make_views(meadow()), EVEN, faces, 0.1)
    for face in faces:
        assert face.box.overlap(subject.box) == pytest.approx(face.box.area)
    assert subject.attention[4:8, 3:5].sum() > 0.1


def test_a_face_away_from_what_stands_out_is_the_subject_alone():
    places = EVEN.copy()
    places[5:, 5:] = 1.0
    face = Face(Box(0.1, 0.1, 0.1, 0.15), 0.9, "front", 0.5)
    subject = find_subject(make_views(meadow()), places, (face,), 0.1)
    assert subject.box.right < 0.35
    assert subject.confidence > 0.8


def face(x, y, w, h):
    return Face(Box(x, y, w, h), 0.9, "front", 0.5)


def test_only_main_faces_are_the_subject():
    near, far = face(0.4, 0.3, 0.2, 0.24), face(0.95, 0.05, 0.02, 0.02)
    nowhere = Box(0.0, 0.9, 0.05, 0.05)
    assert module._with_faces(nowhere, (near, far)) == module._with_faces(nowhere, (near,))
    second = face(0.7, 0.3, 0.1, 0.24 / 4 + 1e-9)  # an eighth of the larger one's area, just
    assert module._with_faces(nowhere, (near, second)).right > module._with_faces(nowhere, (near,)).right


def test_faces_have_room_about_them_and_take_in_what_they_touch():
    side, above, below = module._ROOM
    alone = module._with_faces(Box(0.0, 0.9, 0.05, 0.05), (face(0.4, 0.3, 0.1, 0.1),))
    assert (alone.x, alone.y) == pytest.approx((0.4 - side * 0.1, 0.3 - above * 0.1))
    assert (alone.right, alone.bottom) == pytest.approx((0.5 + side * 0.1, min(1.0, 0.4 + below * 0.1)))
    both = module._with_faces(Box(0.1, 0.2, 0.35, 0.15), (face(0.4, 0.3, 0.1, 0.1),))
    assert (both.x, both.y) == pytest.approx((0.1, 0.2))
    assert (both.right, both.bottom) == pytest.approx((alone.right, alone.bottom))


def test_a_face_draws_attention_where_it_is():
    """By hand: from a quarter to three quarters of 16 cells a side are the cells 4 to 11; an eighth of one more row."""
    grid = module._on_faces((Face(Box(0.25, 0.25, 0.5, 0.5), 0.9, "front", 0.5),))
    assert grid.sum() == pytest.approx(1)
    assert grid[4:12, 4:12] == pytest.approx(grid.max())
    assert grid[12, 4:12] == pytest.approx(grid.max() / 8)
    assert not grid[:4].any()
    assert not grid[13:].any()
    assert not grid[:, :4].any()
    assert not grid[:, 13:].any()


ROOM_FACE = Face(Box(0.85, 0.8, 0.3, 0.3), 0.9, "front", 0.5)


def test_the_box_of_faces_at_the_edges_ends_where_the_frame_does():
    """A detector's box may reach beyond the frame, and the room about it does."""
    low = module._with_faces(Box(0.0, 0.0, 0.1, 0.1), (ROOM_FACE,))
    assert (low.right, low.bottom) == pytest.approx((1, 1))
    assert low.x < 0.85
    assert low.y < 0.8
    high = module._with_faces(Box(0.9, 0.9, 0.1, 0.1), (Face(Box(-0.1, -0.1, 0.3, 0.3), 0.9, "front", 0.5),))
    assert (high.x, high.y) == (0, 0)
    assert high.right > 0.2
    assert high.bottom > 0.2


@given(st.lists(st.tuples(*[st.floats(-0.2, 1.1)] * 2, *[st.floats(0.02, 0.5)] * 2), min_size=1, max_size=3))
def test_whatever_the_faces_the_box_lies_in_the_frame_and_holds_the_largest_as_far_as_that_does(boxes):
    faces = tuple(Face(Box(*box), 0.9, "front", 0.5) for box in sorted(boxes, key=lambda box: -box[2] * box[3]))
    found = module._with_faces(Box(0.4, 0.4, 0.2, 0.2), faces)
    assert found.x >= 0
    assert found.y >= 0
    assert found.right <= 1 + 1e-9
    assert found.bottom <= 1 + 1e-9
    first = faces[0].box
    if first.overlap(Box(0, 0, 1, 1)) > 0:
        assert found.x <= max(0, first.x) + 1e-9
        assert found.right >= min(1, first.right) - 1e-9
        assert found.y <= max(0, first.y) + 1e-9
        assert found.bottom >= min(1, first.bottom) - 1e-9


@pytest.mark.parametrize(("height", "share"), [(0.03, 0.3), (0.06, 0.6), (0.3, 0.6)])
def test_faces_take_their_share_of_the_attention_and_tiny_ones_less(height, share):
    """By hand: six tenths from a height of 0.06 of the frame on, half of that at half the height."""
    views, face = make_views(meadow()), Face(Box(0.4, 0.4, 0.05, height), 0.9, "front", 0.5)
    alone = find_subject(views, EVEN, (), 0.3).attention
    expected = (1 - share) * alone + share * module._on_faces((face,))
    assert find_subject(views, EVEN, (face,), 0.3).attention == pytest.approx(expected, abs=1e-6)


def test_the_prior_draws_to_the_middle_by_a_bell_of_a_third_of_the_frame():
    """By hand: 0.7 and 0.3 of a bell of 0.35 widths; at the corner's cell, 63/128 off either way."""
    corner = np.exp(-((63 / 128) ** 2) / 0.35**2)
    assert module._prior()[0, 0] == pytest.approx(0.7 + 0.3 * corner)
    assert module._prior()[31, 32] == pytest.approx(0.7 + 0.3 * np.exp(-((1 / 128) ** 2) / 0.35**2))
    assert module._prior()[0, 31] == pytest.approx(
        0.7 + 0.3 * np.exp(-0.5 * ((63 / 128) ** 2 + (1 / 128) ** 2) / 0.35**2)
    )


@pytest.mark.parametrize("shape", [(200, 300), (300, 200), (90, 90)])
def test_squeezed_is_the_mean_of_equal_cells(shape):
    lab = np.random.default_rng(0).uniform(-50, 100, (*shape, 3)).astype(np.float32)
    for channel in range(3):
        means = area_means(np.ascontiguousarray(lab[..., channel]), (64, 64))
        assert module._squeezed(lab)[..., channel] == pytest.approx(means, abs=1e-2)


def test_drawn_attention_is_what_is_spoken_of_sharpened_by_what_stands_out():
    """The formula: spoken, 0 to 1, times (0.8 + 0.65 (enclosed + surprising)), times the prior, smoothed."""
    views, places = make_views(with_spot(meadow(), 0.3, 0.6)), np.random.default_rng(1).random((7, 7), np.float32)
    drawn, distance = module.drawn_attention(views, places)
    lab = module._squeezed(views.lab)
    far, expected_distance = enclosed(lab)
    spoken = cv2.resize(places, (64, 64), interpolation=cv2.INTER_CUBIC)
    spoken = (spoken - spoken.min()) / (spoken.max() - spoken.min())
    mixed = spoken * (0.8 + 0.65 * (far + surprising(lab[..., 0]))) * module._prior()
    smooth = gaussian_filter(mixed.astype(np.float64), 1.0, mode="mirror")
    assert distance == expected_distance
    assert drawn == pytest.approx((smooth - smooth.min()) / np.ptp(smooth), abs=1e-4)


def test_the_strongest_part_is_the_one_with_most_attention_not_the_largest():
    drawn = np.zeros((64, 64), np.float32)
    drawn[4:24, 6:10] = 0.35  # 80 places of 0.35 are 28
    drawn[40:46, 30:36] = 0.9  # 36 of 0.9 are 32.4
    drawn[46, 36] = 0.36  # joined by its corner
    drawn[50:60, 50:60] = 0.34  # not above the bar
    assert module._strongest(drawn) == pytest.approx(Box(30 / 64, 40 / 64, 7 / 64, 7 / 64))
    assert module._strongest(np.full((64, 64), 0.34, np.float32)) == Box(0, 0, 1, 1)


def test_how_sure_a_subject_is_by_hand():
    """Logit 1 + 0.4 ln(1 + 7) - 5 * 0.2 - 2 * 0.3 at the busiest of four borders, times 7 / 7.5."""
    for side in range(4):
        drawn = np.full((64, 64), 0.1, np.float32)
        np.rot90(drawn, side)[0] = 0.2
        border = float(max(drawn[0].mean(), drawn[-1].mean(), drawn[:, 0].mean(), drawn[:, -1].mean()))
        assert module.sureness_cues(drawn, 7.0, 0.3) == pytest.approx((np.log(8), 0.2, 0.3), abs=1e-6)
        logit = 1 + 0.4 * np.log(8) - 5 * border - 2 * 0.3
        assert module._confidence(drawn, 7.0, 0.3) == pytest.approx(7 / 7.5 / (1 + np.exp(-logit)), abs=1e-6)


def test_a_face_makes_a_subject_at_least_nine_tenths_as_sure_as_itself():
    views = make_views(np.full((*SIZE, 3), 90, np.uint8))
    for scores in ((0.8, 0.9), (0.9, 0.8)):
        faces = tuple(Face(Box(0.2 + 0.4 * k, 0.3, 0.1, 0.2), score, "front", 0.5) for k, score in enumerate(scores))
        assert find_subject(views, EVEN, faces, 0.1).confidence == pytest.approx(0.81)


def test_attention_is_what_lies_above_the_median():
    views, places = make_views(with_spot(meadow(), 0.3, 0.6)), np.random.default_rng(1).random((7, 7), np.float32)
    drawn, _ = module.drawn_attention(views, places)
    means = area_means(drawn, (16, 16)).astype(np.float64)
    above = np.maximum(means - np.median(means), 0) + 1e-6
    assert find_subject(views, places, (), 0.1).attention == pytest.approx(above / above.sum(), abs=1e-5)


def test_every_place_draws_a_millionth():
    """Of a peak of 1: where attention is at most its median, before all of it is made to sum to 1."""
    views, places = make_views(with_spot(meadow(), 0.3, 0.6)), np.random.default_rng(1).random((7, 7), np.float32)
    means = area_means(module.drawn_attention(views, places)[0], (16, 16)).astype(np.float64)
    total = np.maximum(means - np.median(means), 0).sum()
    assert find_subject(views, places, (), 0.1).attention.min() == pytest.approx(1e-6 / total, rel=1e-3)

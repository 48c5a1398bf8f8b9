"""What is known of a turned frame at once is what measuring its turned pixels finds, where that needs no network."""

from dataclasses import replace

import numpy as np
import pytest

from setsolver.domain.geometry import Box
from setsolver.domain.measures import ATTENTION_GRID, CROP_MAP_STEPS, DETAIL_GRID, FIGURE_GRID, Face, Tilt
from setsolver.domain.turned import turned
from setsolver.features.tone import measure_tone
from setsolver.features.views import make_views
from tests.catalog.pictures import scene
from tests.rules.builders import make_frame


def frame_of(seed=1, **besides):
    rng = np.random.default_rng(seed)
    grids = {
        "attention": rng.random(ATTENTION_GRID).astype(np.float32),
        "figures": rng.integers(0, 256, FIGURE_GRID).astype(np.uint8),
        "crop_map": rng.integers(-128, 128, (len(CROP_MAP_STEPS), *FIGURE_GRID)).astype(np.int8),
    }
    faces = (Face(Box(0.1, 0.2, 0.1, 0.15), 0.9, "left", 0.5),)
    given = {"subject": Box(0.1, 0.3, 0.2, 0.4), "faces": faces, "tilt": Tilt(1.5, 0.8, 0.3)}
    return make_frame(0, **given | grids | besides)


def same(one, other):
    """Expect two frames to be alike, but for what a quarter turn forgets."""
    assert one.measures.subject.box == pytest.approx(other.measures.subject.box)
    assert one.measures.inner == pytest.approx(other.measures.inner)
    np.testing.assert_equal(one.measures.subject.attention, other.measures.subject.attention)
    assert (one.width, one.height) == (other.width, other.height)
    for name in type(one.measures).__dataclass_fields__:
        if name not in ("tilt", "faces", "upright", "subject", "inner"):
            np.testing.assert_equal(getattr(one.measures, name), getattr(other.measures, name), name)


def test_four_quarters_lead_back_and_two_are_a_half():
    frame = frame_of()
    around = frame
    for turn in (90, 180, 270, 0):
        around = turned(around, turn)
        assert around.turn == turn
        same(around, turned(frame, turn))
    same(around, frame)
    assert turned(turned(frame, 90), None).turn is None


@pytest.mark.parametrize("turn", [90, 180, 270])
def test_tones_lie_where_measuring_the_turned_pixels_finds_them(turn):
    """Quarter turns of pixels are numpy's ``rot90``, which turns counter-clockwise."""
    pixels = scene(600, 400, seed=4)
    upright, other = (measure_tone(make_views(np.ascontiguousarray(np.rot90(pixels, -k)))) for k in (0, turn // 90))
    frame = make_frame(0)
    measures = replace(frame.measures, tone=upright[0], tiles=upright[1])
    found = turned(replace(frame, measures=measures), turn).measures
    assert found.tone.mid == pytest.approx(other[0].mid, abs=0.2)
    np.testing.assert_allclose(found.tiles.lightness, other[1].lightness, atol=400)
    np.testing.assert_allclose(found.tiles.neutral, other[1].neutral, atol=0.2)


@pytest.mark.parametrize("turn", [90, 180, 270])
def test_boxes_hold_what_they_held(turn):
    """A box of whole cells, and the same cells marked on a grid, stay the same."""
    cells = np.zeros(DETAIL_GRID)
    cells[2:5, 1:3] = 1
    frame = turned(frame_of(subject=Box(1 / 8, 2 / 8, 2 / 8, 3 / 8)), turn)
    x, y, w, h = (round(8 * part) for part in frame.measures.subject.box)
    seen = np.zeros(DETAIL_GRID)
    seen[y : y + h, x : x + w] = 1
    np.testing.assert_array_equal(seen, np.rot90(cells, -(turn // 90)))


def test_what_a_turn_leaves_unknown_is_left_open():
    frame = frame_of()
    aside, head = turned(frame, 90).measures, turned(frame, 180).measures
    assert aside.tilt == Tilt(None, 0.0, None)
    assert (head.tilt.degrees, head.tilt.horizon) == (1.5, pytest.approx(0.7))
    assert [measures.faces[0].facing for measures in (aside, head)] == ["front", "right"]
    assert turned(frame, None).measures is frame.measures

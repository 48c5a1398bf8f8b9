"""The whole record of a frame, and the loading of the models."""

from dataclasses import replace

import numpy as np
import pytest

from setsolver.domain.measures import ATTENTION_GRID, DETAIL_GRID, EMBEDDING_SIZE, LIGHTNESS_BINS, TONE_GRID
from setsolver.errors import BadInput, FrameRefused
from setsolver.features.measure import Models, measure
from setsolver.features.scale import SURE


@pytest.mark.parametrize("crop", [np.s_[:, :], np.s_[:100, :], np.s_[:, :40], np.s_[:16, :16]])
def test_every_field_is_in_range_whatever_the_shape(astronaut, models, crop):
    found = measure(astronaut[crop], models=models)
    assert found.tiles.lightness.shape == (*TONE_GRID, LIGHTNESS_BINS)
    assert found.detail.tiles.shape == DETAIL_GRID
    assert found.subject.attention.shape == ATTENTION_GRID
    assert found.subject.attention.sum() == pytest.approx(1, abs=1e-5)
    assert found.embedding.shape == (EMBEDDING_SIZE,)
    assert found.embedding.dtype == np.float16
    assert 0 <= found.phash < 2**64
    assert sum(found.odds) == pytest.approx(1)
    assert sum(found.inner_odds) == pytest.approx(1)
    for value in (found.quality, found.detail.sharpness, found.detail.motion, found.tilt.confidence):
        assert 0 <= value <= 1
    for box in (found.subject.box, found.inner, *(face.box for face in found.faces)):
        assert min(box) >= 0
        assert max(box.right, box.bottom) <= 1 + 1e-9


def test_the_same_picture_measures_the_same(astronaut, models):
    one, two = measure(astronaut, models=models), measure(astronaut.copy(), models=models)
    assert (one.tone, one.faces, one.quality, one.odds, one.phash) == (
        two.tone,
        two.faces,
        two.quality,
        two.odds,
        two.phash,
    )


def test_a_portrait_is_no_wide_view_and_its_subject_holds_the_face(astronaut, models):
    found = measure(astronaut, models=models)
    assert found.odds.best != "wide"
    assert found.faces[0].box.overlap(found.subject.box) == pytest.approx(found.faces[0].box.area)


def test_what_is_no_picture_is_refused(models):
    with pytest.raises(FrameRefused, match="preview"):
        measure(np.zeros((50, 50, 4), np.uint8), models=models)


def test_an_unknown_engine_is_refused_with_the_choices():
    with pytest.raises(BadInput, match="'abacus' runs no network here; use one of onnxruntime, opencv"):
        Models.load("abacus")


def test_a_surely_close_frame_is_looked_at_once(astronaut, models):
    """A head fills the frame of the enlarged face; the whole portrait is less sure and gets its inner view."""
    looked = []

    def counting(batch):
        looked.append(len(batch))
        return models.embedding(batch)

    counted = replace(models, embedding=counting)
    found = measure(astronaut, models=counted)
    alone = models.scale_alone.odds(found.embedding[None])[0]
    assert sum(looked) == (1 if alone[2] >= SURE else 2)
    sure = replace(models.scale_alone, bias=models.scale_alone.bias + np.float32([0, 0, 30]))
    looked.clear()
    close = measure(astronaut, models=replace(counted, scale_alone=sure))
    assert sum(looked) == 1
    assert close.odds == close.inner_odds
    assert close.odds.best == "close"

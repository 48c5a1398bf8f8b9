"""The whole record of a frame, and the loading of the models."""

from dataclasses import replace

import numpy as np
import pytest

from setsolver.domain.measures import (
    ATTENTION_GRID,
    CLIP_SIZE,
    DETAIL_GRID,
    EMBEDDING_SIZE,
    LAYERS_SIZE,
    LIGHTNESS_BINS,
    TONE_GRID,
    Measures,
)
from setsolver.domain.origin import later, origins
from setsolver.errors import FrameRefused
from setsolver.features.measure import measure
from setsolver.features.scale import SURE
from setsolver.features.sight import FEATURES, Sight, feature


@pytest.mark.parametrize("crop", [np.s_[:, :], np.s_[:100, :], np.s_[:, :40], np.s_[:16, :16]])
def test_every_field_is_in_range_whatever_the_shape(astronaut, models, crop):
    found = measure(astronaut[crop], models=models)
    assert found.tiles.lightness.shape == (*TONE_GRID, LIGHTNESS_BINS)
    assert found.detail.tiles.shape == DETAIL_GRID
    assert found.subject.attention.shape == ATTENTION_GRID
    assert found.subject.attention.sum() == pytest.approx(1, abs=1e-5)
    assert found.embedding.shape == found.inner_embedding.shape == (EMBEDDING_SIZE,)
    assert found.embedding.dtype == found.inner_embedding.dtype == np.float16
    assert [part.shape for part in found.clip] == [(CLIP_SIZE[0],), (CLIP_SIZE[1],), (CLIP_SIZE[1],)]
    assert {part.dtype for part in (*found.clip, found.layers)} == {np.dtype(np.float16)}
    assert found.layers.shape == (LAYERS_SIZE,)
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


class Refused:
    """A network that nobody may ask."""

    def __call__(self, batch):
        """Fail."""
        pytest.fail(f"a network was asked about {batch.shape}")


def counted(models, **more):
    """The models, and a list that grows by how many pictures each look at the small network takes."""
    looked = []

    def network(batch):
        looked.append(len(batch))
        return models.embedding(batch)

    return replace(models, embedding=network, **more), looked


def test_a_frame_is_looked_at_once_and_its_inner_view_once(astronaut, models):
    looks = []

    def large(batch):
        looks.append(len(batch))
        return models.clip(batch)

    counting, looked = counted(models, clip=large)
    measure(astronaut, models=counting)
    assert (sum(looked), looks) == (2, [1])


def test_what_surely_fills_a_frame_fills_its_inner_view(astronaut, models):
    sure = replace(models.scale_alone, bias=models.scale_alone.bias + np.float32([0, 0, 30]))
    close = measure(astronaut, models=replace(models, scale_alone=sure))
    assert close.inner_odds.best == "close"
    assert close.inner_odds.sure >= SURE


def test_each_measure_is_one_feature():
    assert FEATURES.keys() == origins(Measures).keys()
    with pytest.raises(ValueError, match="'tone' is measured twice"):
        feature("tone")(len)
    with pytest.raises(ValueError, match="'charm' is measured twice, or is no field"):
        feature("charm")(len)


def test_features_read_nothing_but_what_their_line_names(astronaut, models):
    """Each is told from just that, pixels only where it says so, and finds what the whole measuring found."""
    whole = measure(astronaut, models=models)
    for name, origin in origins(Measures).items():
        known = {other: getattr(whole, other) for other in origin.reads}
        again = FEATURES[name](Sight(astronaut if origin.pixels else None, models, known))
        assert str(again) == str(getattr(whole, name)), name


def test_pixels_are_only_for_those_that_say_so(models):
    with pytest.raises(LookupError, match="asks for pixels"):
        Sight(None, models, {}).rgb  # noqa: B018 - asking is what is tested


def test_a_quick_measuring_leaves_the_large_network_alone_and_the_rest_can_follow(astronaut, models):
    quick = measure(astronaut, models=replace(models, clip=Refused()), names=origins(Measures).keys() - later(Measures))
    assert quick.clip is None
    counting, looked = counted(models)
    full = measure(astronaut, models=counting, known=quick, names=later(Measures))
    assert looked == []
    assert np.array_equal(full.clip.embedding, measure(astronaut, models=models).clip.embedding)


def test_heads_are_told_again_without_pixels_or_networks(astronaut, models):
    whole = measure(astronaut, models=models)
    names = {name for name, origin in origins(Measures).items() if not origin.pixels}
    idle = replace(models, embedding=Refused(), clip=Refused(), faces=Refused())
    again = measure(None, models=idle, known=whole, names=names)
    assert (again.quality, again.inner, again.inner_odds) == (whole.quality, whole.inner, whole.inner_odds)
    assert again.tone is whole.tone

"""CLIP's look: the publisher's preprocessing, and places that lie where the picture has them."""

import cv2
import numpy as np
import pytest

from setsolver.domain.geometry import WHOLE, Box
from setsolver.features.clip import clip_of, mean_over, seen_by_clip
from setsolver.features.models import ClipSeen
from setsolver.features.sight import FEATURES, Sight


def cosine(one, two):
    one, two = (np.asarray(vector, np.float64) for vector in (one, two))
    return float(one @ two / np.linalg.norm(one) / np.linalg.norm(two))


def test_pixels_reach_the_network_as_its_publisher_prepares_them():
    """Mean and deviation of openai/CLIP, clip/clip.py, ``_transform``; a grey of 128 in every channel."""
    asked = []
    network = lambda batch: asked.append(batch) or ClipSeen(batch, batch, batch, batch)  # noqa: E731 - one line
    clip_of(np.full((300, 500, 3), 128, np.uint8), network)
    (batch,) = asked
    assert (batch.shape, batch.dtype) == ((1, 3, 224, 224), np.float32)
    expected = (128 / 255 - np.array([0.48145466, 0.4578275, 0.40821073])) / [0.26862954, 0.26130258, 0.27577711]
    assert batch[0, :, 50, 60] == pytest.approx(expected, abs=1e-5)


def test_a_picture_is_told_by_what_it_shows_not_by_its_size(astronaut, models):
    seen = clip_of(astronaut, models.clip)
    assert (seen.embedding.shape, seen.places.shape) == ((512,), (14, 14, 768))
    small = clip_of(cv2.resize(astronaut, (320, 320), interpolation=cv2.INTER_AREA), models.clip)
    other = clip_of(np.random.default_rng(0).integers(0, 255, (320, 320, 3), dtype=np.uint8), models.clip)
    assert cosine(seen.embedding, small.embedding) > 0.95
    assert cosine(seen.embedding, other.embedding) < 0.7
    assert np.array_equal(seen.embedding, clip_of(astronaut, models.clip).embedding)


def test_the_mean_over_a_box_counts_places_by_the_share_that_it_covers():
    places = np.zeros((14, 14, 2), np.float32)
    places[0, :, 0] = 1  # the top row
    places[:, :7, 1] = 1  # the left half
    assert mean_over(places, WHOLE) == pytest.approx([1 / 14, 0.5])
    assert mean_over(places, Box(0.25, 0, 0.5, 0.5 / 14)) == pytest.approx([1, 0.5])
    assert mean_over(places, Box(0.5, 0.5, 0.5, 0.5)) == pytest.approx([0, 0])


def test_what_clip_says_of_a_frame_is_kept_as_its_embedding_the_mean_of_places_and_that_of_the_inner_view(models):
    places = np.zeros((14, 14, 2), np.float32)
    places[:7, :, 0], places[:, :7, 1] = 1, 1
    sight = Sight(np.zeros((32, 32, 3), np.uint8), models, {"inner": Box(0.0, 0.25, 0.25, 0.5)})
    sight._made[seen_by_clip] = ClipSeen(np.float32([7, 8]), places, np.zeros((3, 4)), np.zeros(2))
    embedding, whole, inner = FEATURES["clip"](sight)
    assert embedding.tolist() == [7, 8]
    assert whole == pytest.approx([0.5, 0.5], abs=1e-3)
    assert inner == pytest.approx([0.5, 1.0], abs=1e-3)

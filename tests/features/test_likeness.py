"""Hamming distances, and embeddings against each other across engines."""

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage import data

from setsolver.features.likeness import SAME_DISTANCE, embed, hamming, prepared, signatures
from setsolver.features.phash import perceptual_hash


@given(st.integers(0, 2**64 - 1), st.integers(0, 2**64 - 1))
def test_hamming_counts_different_bits(first, second):
    assert int(hamming(first, second)) == (first ^ second).bit_count()


def test_hamming_broadcasts():
    hashes = np.array([0, 1, 2**64 - 1], np.uint64)
    assert hamming(hashes[:, None], hashes[None]).tolist() == [[0, 1, 64], [1, 0, 63], [64, 63, 0]]


@pytest.mark.parametrize("side", [224, 192])
def test_batches_equal_single_pictures(astronaut, models, side):
    pictures = [astronaut, np.ascontiguousarray(astronaut[100:300, 50:400])]
    both = embed(pictures, models.embedding, side)
    assert np.abs(embed(pictures[1:], models.embedding, side) - both[1:]).max() < 0.01


def edits(rgb: np.ndarray) -> dict[str, np.ndarray]:
    """Copies as in the INRIA Copydays set (Douze et al., CIVR 2009), crops by area and JPEG; tone, turn, grey."""
    height, width = rgb.shape[:2]
    keep = [int(side * 0.8**0.5) for side in (height, width)]
    turn = cv2.getRotationMatrix2D((width / 2, height / 2), 2, 1.05)
    brighter = np.clip(rgb.astype(float) * 1.25, 0, 255).astype(np.uint8)
    grey = cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY)
    code = cv2.imencode(".jpg", rgb, [cv2.IMWRITE_JPEG_QUALITY, 50])[1]
    return {
        "crop 20 %": rgb[: keep[0], -keep[1] :],
        "turned by 2 degrees": cv2.warpAffine(rgb, turn, (width, height)),
        "brighter": brighter,
        "warmer": (rgb * (1.0, 0.93, 0.8)).astype(np.uint8),
        "grey": np.repeat(grey[..., None], 3, axis=2),
        "jpeg 50": cv2.imdecode(code, cv2.IMREAD_COLOR),
    }


@pytest.fixture(scope="module")
def signed(models):
    """Signatures of three photographs (scikit-image's) and of their edits."""

    def sign(pictures):
        views = [np.ascontiguousarray(picture) for picture in pictures]
        hashes = np.array([perceptual_hash(view) for view in views], np.uint64)
        return signatures(embed(views, models.embedding), hashes)

    pictures = [data.astronaut(), data.chelsea(), data.coffee()]
    return sign(pictures), [sign(edits(picture).values()) for picture in pictures]


def test_signatures_have_unit_length(signed):
    assert np.linalg.norm(signed[0], axis=1) == pytest.approx(1, abs=1e-5)


def test_edits_are_the_same_picture_and_others_are_not(signed):
    originals, edited = signed
    for number, copies in enumerate(edited):
        assert (_apart(originals[number], copies) <= SAME_DISTANCE).all()
        for other in np.delete(originals, number, axis=0):
            assert (_apart(other, copies) > SAME_DISTANCE).all()


def _apart(one, others):
    return np.linalg.norm(one - others, axis=-1)


def test_distance_and_likeness_say_the_same(signed):
    one, two = signed[0][0], signed[1][0][0]
    assert _apart(one, two) == pytest.approx(np.sqrt(2 - 2 * one @ two), abs=1e-5)


@given(st.integers(0, 2**64 - 1), st.integers(0, 2**64 - 1))
def test_the_hash_part_of_a_signature_counts_bits(first, second):
    embeddings = np.random.default_rng(0).uniform(0, 1, (1, 1280)).repeat(2, axis=0)
    one, two = signatures(embeddings, np.array([first, second], np.uint64))
    assert one @ two == pytest.approx((1 + 0.6 * (1 - int(hamming(first, second)) / 32)) / 1.6, abs=1e-5)


def test_pixels_reach_the_network_from_minus_one_to_one_by_channel():
    """(code - 127) / 128, as the network's publisher has it (TensorFlow's EfficientNet-Lite, from memory)."""
    pictures = [np.full((30, 50, 3), (0, 127, 255), np.uint8), np.full((300, 500, 3), (63, 191, 1), np.uint8)]
    batch = prepared(pictures)
    assert (batch.shape, batch.dtype) == ((2, 3, 224, 224), np.float32)
    for picture, expected in zip(batch, ([-127, 0, 128], [-64, 64, -126]), strict=True):
        for channel in range(3):
            assert picture[channel] == pytest.approx(expected[channel] / 128)
    assert prepared(pictures, 96).shape == (2, 3, 96, 96)


def test_a_picture_that_is_squeezed_keeps_its_sides():
    halves = np.zeros((400, 600, 3), np.uint8)
    halves[:200, :, 0], halves[:, :300, 1] = 255, 255
    red, green, _ = prepared([halves], 10)[0]
    assert red[:5] == pytest.approx(1)
    assert red[5:] == pytest.approx(-127 / 128)
    assert green[:, :5] == pytest.approx(1)
    assert green[:, 5:] == pytest.approx(-127 / 128)


def test_likeness_adds_the_cosine_about_the_mean_and_six_tenths_of_the_hash():
    from setsolver.features.models import likeness_mean  # noqa: PLC0415 - read where it is needed

    random = np.random.default_rng(2)
    embeddings, hashes = random.uniform(0, 2, (2, 1280)), np.array([0x0F, 0xFF], np.uint64)
    one, two = embeddings - likeness_mean()
    cosine = one @ two / np.linalg.norm(one) / np.linalg.norm(two)
    found = signatures(embeddings, hashes)
    assert found.shape == (2, 1344)
    assert found[0] @ found[1] == pytest.approx((cosine + 0.6 * (1 - 4 / 32)) / 1.6, abs=1e-5)
    signs = np.sign(found[0, 1280:])
    assert signs.tolist() == [-1] * 60 + [1] * 4  # the most significant bit first

"""Whole prints drawn from originals, against the pictures that they are made of."""

import threading
import time

import numpy as np
import pytest

from setsolver.colour.lab import srgb_to_lab
from setsolver.colour.toning import Toning
from setsolver.domain.geometry import Box
from setsolver.render.draw import drawn, region_of, untoned
from setsolver.render.original import read_original
from setsolver.render.resample import grid_of, tiles_of
from setsolver.render.sharpen import PLAIN, Sharpening
from tests.catalog.pictures import save

AS_IS = Toning(np.array([0.0, 100.0]), np.array([0.0, 100.0]))


def noise(width=700, height=600):
    field = np.random.default_rng(0).uniform(40, 215, (height // 10, width // 10, 3))
    return np.kron(field, np.ones((10, 10, 1))).astype(np.uint8)


def make(path, box, angle, size, sharpening=PLAIN, toning=AS_IS, **options):
    def grid_for(width, height):
        return grid_of(box, angle, (width, height), size)

    original = read_original(path, region_of(grid_for))
    grid = grid_for(original.width, original.height)
    return drawn(original, grid, toning, sharpening, **options), untoned(original, grid)


def test_a_crop_at_its_own_size_is_the_original_s_pixels(tmp_path):
    path = save(tmp_path / "a.png", noise())
    codes, lab = make(path, Box(0.1, 0.1, 0.8, 0.8), 0.0, (560, 480))
    assert np.abs(codes.astype(int) - noise()[60:540, 70:630].astype(int) * 257).max() < 40
    assert np.abs(lab - srgb_to_lab(noise()[60:540, 70:630])).max() < 0.01


def test_a_crop_needs_no_more_of_the_original_than_its_part(tmp_path):
    path = save(tmp_path / "a.png", noise())
    found = read_original(path, region_of(lambda w, h: grid_of(Box(0.4, 0.4, 0.1, 0.1), 0.0, (w, h), (70, 60))))
    assert max(found.codes.shape) < 120


@pytest.mark.parametrize("angle", [0.0, 1.5])
def test_sharpening_leaves_no_seams_between_tiles(tmp_path, angle):
    path = save(tmp_path / "a.png", noise())
    box = Box(0.05, 0.05, 0.9, 0.9)
    plain, _ = make(path, box, angle, (630, 540))
    crisp, _ = make(path, box, angle, (630, 540), Sharpening(1.2))
    change = crisp.astype(int) - plain
    assert np.abs(change).max() > 500
    part, _ = make(
        path, Box(0.05 + 0.9 * 480 / 630, 0.05 + 0.9 * 480 / 540, 0.9 * 60 / 630, 0.9 * 60 / 540), 0, (60, 60)
    )
    if angle == 0:
        assert np.abs(part.astype(int) - plain[480:540, 480:540]).max() < 8
    seam = np.abs(np.diff(change[:, 505:520], axis=1)).mean()
    elsewhere = np.abs(np.diff(change[:, 405:420], axis=1)).mean()
    assert seam < 1.5 * elsewhere


def test_a_bleed_beyond_the_frame_is_the_picture_mirrored(tmp_path):
    path = save(tmp_path / "a.png", noise())
    codes, _ = make(path, Box(-0.1, 0, 1.2, 1), 0.0, (840, 600))
    assert np.abs(codes[:, 70:140].astype(int) - codes[:, 1:71][:, ::-1].astype(int)).max() < 40


@pytest.mark.parametrize("spare", [0, 1, 40, 333])
def test_a_bleed_of_more_than_a_tile_is_drawn(tmp_path, monkeypatch, spare):
    """Tiles that lie wholly beyond the frame once kept OpenCV busy for ever; numpy's padding says what is there."""
    monkeypatch.setattr("setsolver.render.draw.tiles_of", lambda width, height: tiles_of(width, height, 64))
    codes = noise()
    path = save(tmp_path / "a.png", codes)
    height, width = codes.shape[:2]
    made, _ = make(
        path,
        Box(-300 / width, -spare / height, 1 + 600 / width, 1 + 2 * spare / height),
        0.0,
        (width + 600, height + 2 * spare),
    )
    theirs = np.pad(codes, ((spare, spare), (300, 300), (0, 0)), mode="reflect").astype(int) * 257
    assert np.abs(made.astype(int) - theirs).max() < 40


def test_tone_is_applied(tmp_path):
    path = save(tmp_path / "a.png", np.full((40, 60, 3), 119, np.uint8))
    codes, lab = make(path, Box(0, 0, 1, 1), 0.0, (60, 40), toning=Toning(AS_IS.before, np.array([10.0, 100.0])))
    lightness = srgb_to_lab(np.rint(codes / 257).astype(np.uint8))[..., 0]
    assert lightness.mean() == pytest.approx(10 + 0.9 * lab[..., 0].mean(), abs=0.3)


def test_it_can_be_stopped_between_tiles(tmp_path):
    path = save(tmp_path / "a.png", noise())

    def heed():
        raise KeyError("stop")

    with pytest.raises(KeyError):
        make(path, Box(0, 0, 1, 1), 0.0, (600, 500), heed=heed)


@pytest.mark.parametrize("threads", [1, 2])
def test_no_thread_goes_on_once_one_has_failed(tmp_path, threads):
    path = save(tmp_path / "a.png", noise())
    asked, told = [], threading.Event()

    def heed():
        asked.append(len(asked))
        if asked[-1] == 0 and threads > 1:
            assert told.wait(60)  # until the other has failed
            time.sleep(0.2)
        elif asked[-1] == threads - 1:
            told.set()
            raise KeyError("stop")

    with pytest.raises(KeyError):
        make(path, Box(0, 0, 1, 1), 0.0, (1500, 1400), heed=heed, threads=threads)
    assert len(asked) == threads


def test_a_print_is_the_same_whatever_the_number_of_threads(tmp_path):
    path = save(tmp_path / "a.png", noise())
    one, other = (make(path, Box(0.1, 0.1, 0.7, 0.7), 1.0, (900, 800), threads=number)[0] for number in (1, 3))
    assert (one == other).all()

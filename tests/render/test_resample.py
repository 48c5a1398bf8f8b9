"""Resampling against scikit-image's transform, an analytic zone plate, and what must be kept."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from skimage.transform import AffineTransform, warp

from setsolver.domain.geometry import Box, corners_on_frame
from setsolver.render.resample import Tile, _kernel, _parts, _taps, aligned, grid_of, padded, reach, sampled, tiles_of
from setsolver.render.room import Room
from tests.crops.plain import largest_crop


def whole(picture, grid, side=64):
    """A whole grid, tile by tile."""
    height, width = picture.shape[:2]
    spare, room = reach(grid), Room()
    result = np.empty((grid.height, grid.width, 3), np.float32)
    for tile in tiles_of(grid.width, grid.height, side):
        left, top, right, bottom = grid.bounds(tile)
        wanted = int(left) - spare - 1, int(top) - spare - 1, int(right) + spare + 2, int(bottom) + spare + 2
        x, y = max(0, wanted[0]), max(0, wanted[1])
        part = picture[y : min(height, wanted[3]), x : min(width, wanted[2])]
        upright = padded(part, (x, y), wanted)
        rows = upright.shape[0]
        planes = np.full(
            (3, upright.shape[1], aligned(rows)), np.nan, np.float32
        )  # what lies beyond counts for nothing
        planes[..., :rows] = upright.T
        found = sampled(planes, rows, wanted[:2], grid, tile, room)
        result[tile.top : tile.bottom, tile.left : tile.right] = np.moveaxis(found, 0, 2)
    return result


def chart(width=240, height=160):
    """Soft blobs: smooth enough that kernels agree, with places that can be told."""
    y, x = np.mgrid[:height, :width]
    blobs = sum(
        np.exp(-((x - cx) ** 2 + (y - cy) ** 2) / 90) for cx, cy in [(50, 40), (180, 60), (110, 120), (60, 130)]
    )
    return np.stack([blobs, x / width, y / height], axis=-1).astype(np.float32)


def blob(picture):
    """The centre of the picture's brightness, x and y in pixels from its corner."""
    y, x = np.mgrid[: picture.shape[0], : picture.shape[1]] + 0.5
    return (x * picture).sum() / picture.sum(), (y * picture).sum() / picture.sum()


@pytest.mark.parametrize("angle", [0.0, 0.7, -3.0, 5.0, 8.0])
@pytest.mark.parametrize("scale", [1.0, 1.7, 2.5])
def test_geometry_is_that_of_scikit_image_s_transform(angle, scale):
    picture = chart()
    height, width = picture.shape[:2]
    box = largest_crop(1.2, angle, width / height, (0.45, 0.55), 0.8)
    size = round(box.w * width / scale), round(box.h * height / scale)
    ours = whole(picture, grid_of(box, angle, (width, height), size))
    corners = corners_on_frame(box, angle, width / height) * (width, height)
    target = np.array([[0, 0], [size[0], 0], [size[0], size[1]], [0, size[1]]], float)
    change = AffineTransform.from_estimate(target - 0.5, corners - 0.5)
    theirs = warp(picture, change, output_shape=size[::-1], order=3, mode="reflect")
    assert np.abs(ours - theirs).max() < 0.03
    moved = np.subtract(blob(ours[..., 0]), blob(theirs[..., 0]))
    assert np.hypot(*moved) < 0.05  # a tenth of the half pixel that is allowed


@pytest.mark.parametrize("angle", [0.0, 2.0, -5.0])
@pytest.mark.parametrize("scale", [2.0, 3.3])
def test_nothing_from_far_beyond_nyquist_comes_through(angle, scale):
    """At most 1 % of a zone plate is left where its frequency is beyond 1.3 times the result's Nyquist frequency.

    A zone plate is cos(k r^2): its frequency at (x, y) is k x / pi and k y / pi cycles a pixel along the two axes, so
    each place tells what becomes of one frequency.
    """
    side = round(130 * scale**2)  # so slow that the kernel sees one frequency at a time
    y, x = np.mgrid[:side, :side] - side / 2 + 0.5
    radius = np.hypot(x, y)
    k = 0.5 * np.pi / (side / 2)  # half a cycle a pixel at the edge
    plate = np.repeat(np.cos(k * radius**2)[..., None], 3, axis=2).astype(np.float32)
    box = Box(0.1, 0.1, 0.8, 0.8)
    grid = grid_of(box, angle, (side, side), (round(0.8 * side / scale),) * 2)
    result = whole(plate, grid)[..., 0]
    rows, columns = np.mgrid[: grid.height, : grid.width] + 0.5
    across, down = np.abs(columns - grid.width / 2) * scale, np.abs(rows - grid.height / 2) * scale
    frequency = k * np.maximum(across, down) / np.pi * scale  # cycles to a pixel of the result
    inside = np.maximum(across, down) < 0.4 * side - 8
    beyond = (frequency > 0.5 * (1.3 if angle == 0 else 1.4)) & inside  # a turned grid sees the axes turned
    assert beyond.sum() > 500
    assert np.abs(result[beyond]).max() < 0.01
    passed = frequency < 0.25
    assert np.abs(result[passed]).max() > 0.95


@settings(max_examples=25, deadline=None)
@given(angle=st.floats(-10, 10), scale=st.floats(0.8, 4), level=st.floats(0, 1))
def test_an_even_field_stays_even_up_to_the_edges(angle, scale, level):
    picture = np.full((60, 90, 3), level, np.float32)
    grid = grid_of(Box(-0.02, -0.02, 1.04, 1.04), angle, (90, 60), (round(90 / scale), round(60 / scale)))
    assert np.abs(whole(picture, grid) - level).max() < 1e-5


def test_the_same_size_and_no_turn_is_the_picture_itself():
    picture = np.random.default_rng(1).random((64, 96, 3)).astype(np.float32)
    grid = grid_of(Box(0.25, 0.25, 0.5, 0.5), 0.0, (96, 64), (48, 32))
    assert np.abs(whole(picture, grid) - picture[16:48, 24:72]).max() < 1e-5


def test_tiles_do_not_show():
    picture = np.random.default_rng(2).random((90, 130, 3)).astype(np.float32)
    grid = grid_of(Box(0.1, 0.1, 0.8, 0.8), 1.3, (130, 90), (70, 48))
    apart = np.abs(whole(picture, grid, 17) - whole(picture, grid, 512))
    assert apart.max() < 1e-5
    assert np.median(apart) < 1e-6


def test_tiles_cover_a_print_once():
    seen = np.zeros((130, 75), int)
    for tile in tiles_of(75, 130, 32):
        seen[tile.top : tile.bottom, tile.left : tile.right] += 1
    assert (seen == 1).all()


def test_content_turns_counter_clockwise():
    """A line that rises by 3 degrees to the right is levelled by turning clockwise, -3: geometry's own sign."""
    y, x = np.mgrid[:200, :300]
    line = np.abs((y - 100) + np.tan(np.radians(3)) * (x - 150)) < 2
    picture = np.repeat(line[..., None], 3, axis=2).astype(np.float32)
    level = whole(picture, grid_of(Box(0.2, 0.2, 0.6, 0.6), -3.0, (300, 200), (180, 120)))[..., 0]
    assert blob(level[:, :60])[1] == pytest.approx(blob(level[:, -60:])[1], abs=0.1)


def test_a_tile_grows_on_every_side():
    assert Tile(0, 4, 2, 6).grown(2) == Tile(-2, 6, 0, 8)


@settings(max_examples=50, deadline=None)
@given(step=st.floats(0.8, 6), fraction=st.floats(0, 1))
def test_weights_of_a_turned_grid_are_those_of_the_kernel(step, fraction):
    """The polynomials that a levelled print is weighed by, against the kernel itself."""
    parts, taps = _parts(step).astype(float), _taps(step)
    exact = _kernel(fraction + taps // 2 - 1 - np.arange(taps), step)
    g = fraction - 0.5
    powers = (g * g) ** np.arange(4)
    even, odd = parts[:, :4] @ powers, g * (parts[:, 4:] @ powers)
    found = np.concatenate([even + odd, (even - odd)[::-1]])
    assert np.abs(found - exact / exact.sum()).max() < 5e-6
    assert found.sum() == pytest.approx(1, abs=1e-5)


@pytest.mark.parametrize("step", [0.4, 1.0, 1.2, 1.333, 1.5, 2.0, 2.7, 4.1, 7.7])
def test_weights_hardly_jump_while_a_place_moves_over_a_pixel(step):
    """A whole place is the end of one stretch of taps and the beginning of the next: both should weigh pixels alike."""
    taps = _taps(step)
    before, after = (_kernel(fraction + taps // 2 - 1 - np.arange(taps), step) for fraction in (1.0, 0.0))
    before, after = np.append(before / before.sum(), 0), np.append(0, after / after.sum())
    assert np.abs(before - after).max() <= 0.0071


@pytest.mark.parametrize("angle", [0.0, 0.4, -2.0, 5.0, -6.0, 9.0])
@pytest.mark.parametrize("scale", [1.0, 1.2, 2.4])
def test_a_print_is_the_sum_that_its_kernel_says(angle, scale):
    """Some pixels, each summed up as written down: along rows, then along the column."""
    picture = np.random.default_rng(3).random((120, 160, 3)).astype(np.float32)
    grid = grid_of(Box(0.25, 0.25, 0.5, 0.5), angle, (160, 120), (round(80 / scale), round(60 / scale)))
    found = whole(picture, grid)
    lean = grid.down[0] / grid.down[1]
    start = np.array(grid.origin) + 0.5 * np.array(grid.across) + 0.5 * np.array(grid.down) - 0.5
    for row, column in [(0, 0), (7, 21), (grid.height - 1, grid.width - 1)]:
        x, y = start + column * np.array(grid.across) + row * np.array(grid.down)
        rows, down = weights_at(y, grid.scale[1])
        between = []
        for source in rows:
            columns, across = weights_at(x + lean * (source - y), grid.scale[0])
            between.append(across @ picture[source, columns])
        assert np.abs(down @ np.array(between) - found[row, column]).max() < 1e-5


def weights_at(place, step):
    """The pixels that count at a place, and their weights."""
    taps = _taps(step)
    first = int(np.floor(place)) - (taps // 2 - 1)
    weights = _kernel(place - first - np.arange(taps), step)
    return first + np.arange(taps), weights / weights.sum()

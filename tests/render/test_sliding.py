"""Columns slid at any lean, against the sum that the kernel says, pixel by pixel in float64."""

import numpy as np
from hypothesis import example, given, settings
from hypothesis import strategies as st

from setsolver.render import sliding
from setsolver.render.resample import _kernel, _parts, _taps


def by_definition(source, start, step, lean, shape, nudge):
    """Each pixel by itself: its place, the rows around it (the nearest beyond the ends), the kernel's weights.

    nudge : added to places before it is asked between which rows they lie.
    """
    rows, columns = np.mgrid[: shape[0], : shape[1]]
    place = start + step * rows + lean * columns
    taps = _taps(step)
    first = np.floor(place + nudge).astype(int) - (taps // 2 - 1)
    at = first[..., None] + np.arange(taps)
    weights = _kernel(place[..., None] - at, step)
    weights /= weights.sum(axis=-1, keepdims=True)
    looked = source[:, np.clip(at, 0, source.shape[1] - 1), columns[..., None]]
    return (looked.astype(float) * weights).sum(axis=-1)


@settings(max_examples=120, deadline=None)
@given(
    lean=st.floats(-0.3, 0.3), step=st.floats(0.8, 3), start=st.floats(-9, 9), width=st.integers(1, 70),
    spare=st.integers(0, 3),
)  # fmt: skip
@example(lean=0.0, step=1.0, start=3.0, width=40, spare=0)
@example(lean=2 / 15, step=1.0, start=0.0, width=64, spare=1)  # the steepest strip of sixteen, from place 0 to place 2
@example(lean=-2 / 15, step=1.0, start=0.0, width=64, spare=1)
@example(lean=np.tan(np.radians(6)), step=1.0, start=0.999999, width=33, spare=0)  # as far as photographs are levelled
@example(lean=1 / 16, step=1.3, start=2.5, width=16, spare=0)
def test_every_column_is_the_sum_that_its_kernel_says(lean, step, start, width, spare):
    source = np.random.default_rng(5).random((3, 31, width + spare), dtype=np.float32)
    source[..., width:] = np.nan  # what lies beyond counts for nothing
    result = np.full((3, 24, width), np.nan, np.float32)
    sliding.slid(source, start, step, lean, _parts(step), result)
    # a place on a row, but for rounding, may count as before it or after it
    either = [by_definition(source, start, step, lean, (24, width), nudge) for nudge in (-2e-6, 2e-6)]
    assert np.abs(result - either).min(axis=0).max() < 3e-5

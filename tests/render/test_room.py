"""Room that is taken once: where arrays begin, what they share, and what they do not."""

import numpy as np
import pytest

from setsolver.render.room import Room


@pytest.mark.parametrize(("shape", "dtype"), [((3, 5, 7), np.float32), ((1,), np.uint8), ((9, 4, 3), np.uint16)])
def test_an_array_has_its_shape_and_begins_where_a_line_of_the_cache_does(shape, dtype):
    room = Room()
    for spare in range(5):  # wherever memory happens to be free
        made = room.codes(str(spare), shape, dtype)
        assert (made.shape, made.dtype) == (shape, np.dtype(dtype))
        assert made.flags.c_contiguous
        assert made.ctypes.data % 64 == 0  # bytes of a line, as x86-64 and ARMv8 have it


def test_what_fits_lies_where_it_lay_before_and_what_does_not_has_room_of_its_own():
    room = Room()
    first = room.floats("tile", (4, 6))
    first[:] = 7.0
    again = room.codes("tile", (6, 4), np.uint32)
    assert again.ctypes.data == first.ctypes.data
    assert room.floats("tile", (2, 3)).ctypes.data == first.ctypes.data
    larger = room.floats("tile", (5, 5))
    assert not np.shares_memory(larger, first)
    assert (first == 7.0).all()  # whoever still holds it keeps it
    assert room.floats("tile", (4, 6)).ctypes.data == larger.ctypes.data


def test_names_and_rooms_share_nothing():
    room, other = Room(), Room()
    arrays = room.floats("a", (8,)), room.floats("b", (8,)), other.floats("a", (8,))
    assert not any(np.shares_memory(one, two) for at, one in enumerate(arrays) for two in arrays[:at])

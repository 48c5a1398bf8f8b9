"""Digests of contents: every byte, its place and the size count; of sampled files the samples do."""

import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.catalog.digest import running_digest, sampled_digest, whole_digest

BLOCK = 4096


def whole(data: bytes) -> bytes:
    return whole_digest(io.BytesIO(data))


@given(st.binary(min_size=1, max_size=3 * BLOCK), st.floats(0, 1, exclude_max=True), st.integers(1, 255))
def test_any_changed_byte_changes_the_digest(data, place, change):
    changed = bytearray(data)
    changed[int(place * len(data))] ^= change
    assert whole(bytes(changed)) != whole(data)
    assert len(whole(data)) == 16


@given(st.binary(max_size=2 * BLOCK), st.integers(1, 9))
def test_zeros_at_the_end_count(data, more):
    assert whole(data + bytes(more)) != whole(data)


@given(st.lists(st.binary(max_size=BLOCK), max_size=5))
def test_a_running_digest_of_all_pieces_is_that_of_the_whole(pieces):
    running = running_digest()
    for piece in pieces:
        running.update(piece)
    assert running.digest() == whole(b"".join(pieces))


def test_swapped_blocks_change_the_digest():
    data = bytes(range(256)) * (BLOCK // 128)  # two blocks alike
    first, second = b"a" + data[1:BLOCK], data[BLOCK:]
    assert whole(first + second) != whole(second + first)


def test_it_is_xxh3_of_all_bytes():
    """Of no bytes at all: as the library's own documentation and its command-line tool give it (from memory)."""
    assert whole(b"").hex() == "99aa06d3014798d86001c324468d497f"


@pytest.mark.parametrize("size", [0, 1, (1 << 18) - 1, 1 << 18, (1 << 18) + 1, 700_000])
def test_a_stream_that_is_read_in_pieces_of_any_number_has_one_digest(size):
    data = bytes(number % 251 for number in range(size))
    assert whole(data) == whole(data)
    assert size == 0 or whole(data[:-1]) != whole(data)


@pytest.mark.parametrize(("place", "seen"), [(0, True), (1_400_000, False), (2_400_000, True), (4_799_999, True)])
def test_a_sampled_digest_sees_head_middle_and_tail(place, seen):
    data = bytearray(4_800_000)
    before = sampled_digest(io.BytesIO(data))
    data[place] = 1
    assert (sampled_digest(io.BytesIO(data)) != before) == seen
    assert sampled_digest(io.BytesIO(data + b"\0")) != before

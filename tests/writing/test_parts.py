"""What a killed process left is swept, what a living one holds is not, and nothing else goes."""

import os
import time

import pytest

from setsolver.writing import parts, write_new


def old_part(path, *, folder):
    part = path / ".setsolver-0123456789abcdef.part"
    if folder:
        part.mkdir()
        (part / "a").touch()
    else:
        part.write_bytes(b"half")
    os.utime(part, (time.time() - 60,) * 2)
    return part


@pytest.mark.parametrize("folder", [False, True])
def test_what_a_killed_process_left_is_swept(tmp_path, folder):
    old_part(tmp_path, folder=folder)
    write_new(tmp_path / "a", b"x")
    assert [p.name for p in tmp_path.iterdir()] == ["a"]


@pytest.mark.skipif(parts.fcntl is None, reason="this system has no locks that end with their process")
@pytest.mark.parametrize("folder", [False, True])
def test_what_a_living_process_holds_is_not_swept(tmp_path, folder):
    part = old_part(tmp_path, folder=folder)
    lock = parts.hold(part)
    try:
        write_new(tmp_path / "a", b"x")
        assert part.exists()
    finally:
        parts.let_go(lock)


def test_files_that_only_look_like_parts_are_not_swept(tmp_path):
    for name in (".setsolver-0123.part", "a.part", ".setsolver-0123456789abcdef.part.jpg"):
        (tmp_path / name).touch()
        os.utime(tmp_path / name, (0, 0))
    write_new(tmp_path / "a", b"x")
    assert len(list(tmp_path.iterdir())) == 4

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


@pytest.mark.parametrize("refused", [False, True])
def test_macos_is_asked_to_force_the_disk_s_own_memory_too(tmp_path, monkeypatch, refused):
    """fsync(2) of macOS leaves data in the drive's cache, F_FULLFSYNC does not; some disks refuse it."""
    asked = []

    def fcntl(handle, command):
        asked.append(command)
        if refused:
            raise OSError(45, "Operation not supported")

    monkeypatch.setattr(parts.fcntl, "F_FULLFSYNC", 51, raising=False)
    monkeypatch.setattr(parts.fcntl, "fcntl", fcntl)
    monkeypatch.setattr(os, "fsync", lambda handle: asked.append("fsync"))
    parts.fill(tmp_path / "a", b"x")
    assert asked == ([51, "fsync"] if refused else [51])
    assert (tmp_path / "a").read_bytes() == b"x"


def test_files_are_forced_where_there_is_only_fsync(tmp_path, monkeypatch):
    asked = []
    monkeypatch.setattr(parts, "fcntl", None)
    monkeypatch.setattr(os, "fsync", asked.append)
    parts.fill(tmp_path / "a", b"x")
    assert len(asked) == 1

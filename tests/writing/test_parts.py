"""What a killed process left is swept, what a living one holds is not, and nothing else goes."""

import os
import time

import pytest

from setsolver.errors import BadInput
from setsolver.writing import alone_in, parts, write_folder, write_new


def old_part(path, *, folder, age=60.0):
    part = path / ".setsolver-0123456789abcdef.part"
    if folder:
        part.mkdir()
        (part / "a").touch()
    else:
        part.write_bytes(b"half")
    os.utime(part, (time.time() - age,) * 2)
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


@pytest.mark.skipif(parts.fcntl is None, reason="this system has no locks that end with their process")
def test_a_part_so_young_that_its_maker_may_not_hold_it_yet_is_not_swept(tmp_path):
    part = old_part(tmp_path, folder=False, age=1.0)  # of two seconds; what it holds is not asked
    write_new(tmp_path / "a", b"x")
    assert part.exists()
    os.utime(part, (time.time() - 3.0,) * 2)
    write_new(tmp_path / "b", b"x")
    assert not part.exists()


@pytest.mark.parametrize("folder", [False, True])
def test_where_nothing_can_be_locked_only_what_is_older_than_an_hour_is_swept(tmp_path, monkeypatch, folder):
    """Windows has no such locks (fcntl is POSIX's): age alone tells, and all is written as elsewhere."""
    monkeypatch.setattr(parts, "fcntl", None)
    part = old_part(tmp_path, folder=folder, age=3000.0)
    write_folder(tmp_path / "set", {"a": b"x"})
    with alone_in(tmp_path):
        write_new(tmp_path / "a", b"x")
    assert part.exists()
    os.utime(part, (time.time() - 4000.0,) * 2)
    write_new(tmp_path / "b", b"x")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a", "b", "set"]


@pytest.mark.skipif(parts.fcntl is None, reason="this system has no locks that end with their process")
def test_whoever_is_alone_in_a_folder_holds_it_until_the_block_ends_however(tmp_path):
    def failing():
        with alone_in(tmp_path):
            assert parts.hold(tmp_path) is None
            raise KeyError

    with pytest.raises(KeyError):
        failing()
    lock = parts.hold(tmp_path)
    assert lock is not None
    parts.let_go(lock)
    with pytest.raises(BadInput, match=r"cannot write .*gone: No such file"), alone_in(tmp_path / "gone"):
        pass


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

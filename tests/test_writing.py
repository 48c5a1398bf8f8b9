"""What is written is whole or absent, and nothing that somebody else wrote is ever written over."""

import os
import signal
import subprocess
import sys
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver import writing
from setsolver.errors import BadInput
from setsolver.writing import building, refuse_taken_folder, write_folder, write_new, write_own

OURS = b"ours "


def ours(path):
    return path.read_bytes().startswith(OURS)


def full(*_):
    raise OSError(28, "No space left on device")


def old_part(path, *, folder):
    part = path / ".setsolver-0123456789abcdef.part"
    if folder:
        part.mkdir()
        (part / "a").touch()
    else:
        part.write_bytes(b"half")
    os.utime(part, (time.time() - 60,) * 2)
    return part


def test_a_new_file_is_written_with_the_rights_that_the_user_gives_to_files(tmp_path):
    before = os.umask(0o027)
    try:
        write_new(tmp_path / "a", b"x")
    finally:
        os.umask(before)
    assert (tmp_path / "a").read_bytes() == b"x"
    assert (tmp_path / "a").stat().st_mode & 0o777 == 0o640
    assert [p.name for p in tmp_path.iterdir()] == ["a"]


@settings(max_examples=40, deadline=None)
@given(before=st.binary(max_size=40), after=st.binary(max_size=40))
def test_a_file_is_replaced_only_where_it_is_ours(tmp_path_factory, before, after):
    path = tmp_path_factory.mktemp("w") / "photograph.jpg"
    path.write_bytes(before)
    if before.startswith(OURS):
        write_own(path, after, ours)
        assert path.read_bytes() == after
        return
    for write in (lambda: write_own(path, after, ours), lambda: write_new(path, after)):
        with pytest.raises(BadInput, match="exists already and is not overwritten"):
            write()
    assert path.read_bytes() == before
    assert [p.name for p in path.parent.iterdir()] == [path.name]


def test_a_link_is_somebody_elses_wherever_it_leads(tmp_path):
    (tmp_path / "real").write_bytes(OURS)
    (tmp_path / "link").symlink_to("real")
    (tmp_path / "nowhere").symlink_to("not-there")
    for name in ("link", "nowhere"):
        with pytest.raises(BadInput, match="not overwritten"):
            write_own(tmp_path / name, b"x", ours)
    assert (tmp_path / "real").read_bytes() == OURS
    assert not (tmp_path / "not-there").exists()


def test_folders_and_devices_are_not_written_over(tmp_path):
    (tmp_path / "d").mkdir()
    for path in (tmp_path / "d", *([] if os.name == "nt" else [writing.Path("/dev/null")])):
        with pytest.raises(BadInput, match="not overwritten"):
            write_own(path, b"x", ours)


def test_a_name_that_is_taken_meanwhile_is_not_written_over(tmp_path, monkeypatch):
    path = tmp_path / "a"
    fill = writing._fill

    def and_somebody_else(part, content):
        fill(part, content)
        path.write_bytes(b"theirs")

    monkeypatch.setattr(writing, "_fill", and_somebody_else)
    with pytest.raises(BadInput, match="not overwritten"):
        write_own(path, b"x", ours)
    assert path.read_bytes() == b"theirs"
    assert list(tmp_path.iterdir()) == [path]


def test_a_disk_without_hard_links_still_takes_no_name_that_is_taken(tmp_path, monkeypatch):
    def none(*_):
        raise OSError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", none)
    write_new(tmp_path / "a", b"x")
    assert (tmp_path / "a").read_bytes() == b"x"
    with pytest.raises(BadInput, match="not overwritten"):
        write_new(tmp_path / "a", b"y")
    assert [p.name for p in tmp_path.iterdir()] == ["a"]


@pytest.mark.parametrize("write", [lambda p: write_new(p, b"x"), lambda p: write_folder(p, {"a": b"x", "b": b"y"})])
def test_a_full_disk_is_said_and_leaves_nothing(tmp_path, monkeypatch, write):
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(BadInput, match=r"cannot write .*No space left on device; name a place"):
        write(tmp_path / "new")
    assert list(tmp_path.iterdir()) == []


def test_a_folder_appears_with_all_its_files_and_the_folders_above_it(tmp_path):
    write_folder(tmp_path / "sets" / "new", {"a": b"x", "b": b"y"})
    assert {p.name: p.read_bytes() for p in (tmp_path / "sets" / "new").iterdir()} == {"a": b"x", "b": b"y"}
    assert [p.name for p in (tmp_path / "sets").iterdir()] == ["new"]


def test_an_empty_folder_makes_way(tmp_path):
    (tmp_path / "new").mkdir()
    write_folder(tmp_path / "new", {"a": b"x"})
    assert (tmp_path / "new" / "a").read_bytes() == b"x"


def test_a_folder_that_holds_anything_is_left_alone(tmp_path):
    (tmp_path / "shoot").mkdir()
    (tmp_path / "shoot" / "proof.png").write_bytes(b"an original")
    for write in (refuse_taken_folder, lambda path: write_folder(path, {"proof.png": b"ours"})):
        with pytest.raises(BadInput, match=r"holds files already, such as 'proof.png'"):
            write(tmp_path / "shoot")
    assert (tmp_path / "shoot" / "proof.png").read_bytes() == b"an original"
    assert [p.name for p in tmp_path.iterdir()] == ["shoot"]


def test_a_folder_that_somebody_makes_meanwhile_is_left_alone(tmp_path, monkeypatch):
    rmdir = writing.Path.rmdir

    def and_somebody_else(path):
        (path / "a").parent.mkdir()
        (path / "a").write_bytes(b"theirs")
        rmdir(path)

    monkeypatch.setattr(writing.Path, "rmdir", and_somebody_else)
    with pytest.raises(BadInput, match="cannot write"):
        write_folder(tmp_path / "new", {"a": b"x"})
    assert (tmp_path / "new" / "a").read_bytes() == b"theirs"
    assert [p.name for p in tmp_path.iterdir()] == ["new"]


@pytest.mark.parametrize("folder", [False, True])
def test_what_a_killed_process_left_is_swept(tmp_path, folder):
    old_part(tmp_path, folder=folder)
    write_new(tmp_path / "a", b"x")
    assert [p.name for p in tmp_path.iterdir()] == ["a"]


@pytest.mark.skipif(writing.fcntl is None, reason="this system has no locks that end with their process")
@pytest.mark.parametrize("folder", [False, True])
def test_what_a_living_process_holds_is_not_swept(tmp_path, folder):
    part = old_part(tmp_path, folder=folder)
    lock = writing._lock(part)
    try:
        write_new(tmp_path / "a", b"x")
        assert part.exists()
    finally:
        writing._unlock(lock)


def test_files_that_only_look_like_parts_are_not_swept(tmp_path):
    for name in (".setsolver-0123.part", "a.part", ".setsolver-0123456789abcdef.part.jpg"):
        (tmp_path / name).touch()
        os.utime(tmp_path / name, (0, 0))
    write_new(tmp_path / "a", b"x")
    assert len(list(tmp_path.iterdir())) == 4


_WRITER = """
import sys
from pathlib import Path
from setsolver.writing import write_folder
print("ready", flush=True)
number = 0
while True:
    write_folder(Path(sys.argv[1]) / str(number), {"a": b"x" * 200_000, "b": b"y" * 200_000, "c": b"z" * 10})
    number += 1
"""


@pytest.mark.skipif(os.name == "nt", reason="Windows has no SIGKILL")
def test_a_folder_of_a_killed_process_is_whole_or_absent(tmp_path):
    for _ in range(4):
        with subprocess.Popen([sys.executable, "-c", _WRITER, tmp_path], stdout=subprocess.PIPE) as writer:
            writer.stdout.readline()
            time.sleep(0.05)
            writer.send_signal(signal.SIGKILL)
        folders = [p for p in tmp_path.iterdir() if not p.name.startswith(".")]
        assert all(
            {p.name: p.stat().st_size for p in f.iterdir()} == {"a": 200_000, "b": 200_000, "c": 10} for f in folders
        )
        for folder in folders:
            for file in folder.iterdir():
                file.unlink()
            folder.rmdir()


def test_a_folder_that_is_being_built_gets_its_name_whole_or_is_gone(tmp_path):
    with building(tmp_path / "book") as part:
        (part / "page").write_bytes(b"x")
        assert not (tmp_path / "book").exists()
    assert (tmp_path / "book" / "page").read_bytes() == b"x"
    with pytest.raises(FileNotFoundError), building(tmp_path / "other") as part:
        (part / "nowhere" / "page").write_bytes(b"x")
    assert [path.name for path in tmp_path.iterdir()] == ["book"]
    with pytest.raises(BadInput, match="holds files already"), building(tmp_path / "book"):
        raise AssertionError

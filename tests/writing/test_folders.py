"""A folder appears with all that belongs in it, or not at all; one that holds anything is left alone."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from setsolver.errors import BadInput
from setsolver.writing import building, refuse_taken_folder, write_folder


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
    (tmp_path / "link").symlink_to("empty")
    (tmp_path / "empty").mkdir()
    (tmp_path / "file").touch()
    for name in ("link", "file"):
        with pytest.raises(BadInput, match="exists already and is not overwritten"):
            refuse_taken_folder(tmp_path / name)
    for write in (refuse_taken_folder, lambda path: write_folder(path, {"proof.png": b"ours"})):
        with pytest.raises(BadInput, match=r"holds files already, such as 'proof.png'"):
            write(tmp_path / "shoot")
    assert (tmp_path / "shoot" / "proof.png").read_bytes() == b"an original"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["empty", "file", "link", "shoot"]


def test_a_folder_that_somebody_makes_meanwhile_is_left_alone(tmp_path, monkeypatch):
    rmdir = Path.rmdir

    def and_somebody_else(path):
        (path / "a").parent.mkdir()
        (path / "a").write_bytes(b"theirs")
        rmdir(path)

    monkeypatch.setattr(Path, "rmdir", and_somebody_else)
    with pytest.raises(BadInput, match="cannot write"):
        write_folder(tmp_path / "new", {"a": b"x"})
    assert (tmp_path / "new" / "a").read_bytes() == b"theirs"
    assert [p.name for p in tmp_path.iterdir()] == ["new"]


def test_only_a_name_that_somebody_has_taken_is_said_to_be_taken(tmp_path, monkeypatch):
    def fails(*_):
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(Path, "rename", fails)
    with pytest.raises(BadInput, match=r"cannot write .*new: Input/output error"):
        write_folder(tmp_path / "new", {"a": b"x"})
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_being_built_is_held(tmp_path):
    with building(tmp_path / "book") as part:
        os.utime(part, (time.time() - 60,) * 2)
        write_folder(tmp_path / "other", {"a": b"x"})  # which sweeps what nobody holds
        (part / "page").write_bytes(b"x")
    assert (tmp_path / "book" / "page").read_bytes() == b"x"


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

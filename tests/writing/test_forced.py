"""In which order content and names reach the disk, and that nothing stays open or held.

After a power cut, a name may lead to a file that was never forced; and a name that was given may be lost where its
folder was not forced (fsync(2), Linux man-pages: "calling fsync() does not necessarily ensure that the entry in the
directory containing the file has also reached disk").
"""

import os

import pytest

from setsolver.writing import (
    alone_in,
    aside,
    building,
    claim,
    files,
    folders,
    parts,
    write_folder,
    write_new,
    write_own,
)


@pytest.fixture
def told(tmp_path, monkeypatch):
    """Return what is forced, each with the names that there were by then: of files "file", of folders their name."""
    seen = []

    def names():
        return {path.name for path in tmp_path.iterdir() if not path.name.startswith(".")}

    def forced(folder):
        part = folder.name.startswith(".setsolver-")
        seen.append(("part" if part else folder.name, names()))

    monkeypatch.setattr(parts, "force_file", lambda _: seen.append(("file", names())))
    monkeypatch.setattr(files, "force_file", lambda _: seen.append(("file", names())))
    monkeypatch.setattr(files, "force", forced)
    monkeypatch.setattr(folders, "force", forced)
    return seen


def test_a_file_s_content_is_forced_before_it_has_its_name_and_its_folder_after(tmp_path, told):
    write_new(tmp_path / "a", b"x")
    assert told == [("file", set()), (tmp_path.name, {"a"})]


def test_so_is_what_a_library_filled(tmp_path, told):
    with aside(tmp_path / "a") as part:
        part.write_bytes(b"x")
        claim(part, tmp_path / "a")
    assert told == [("file", set()), (tmp_path.name, {"a"})]


def test_files_of_a_folder_and_its_own_names_are_forced_before_it_has_its_name_and_the_folder_above_after(
    tmp_path, told
):
    write_folder(tmp_path / "set", {"a": b"x", "b": b"y"})
    assert told == [("file", set()), ("file", set()), ("part", set()), (tmp_path.name, {"set"})]


@pytest.mark.skipif(not os.path.isdir("/dev/fd"), reason="this system does not tell what is open")  # noqa: PTH112
def test_nothing_stays_open_or_held_whatever_happens(tmp_path):
    def opened():
        return len(os.listdir("/dev/fd"))  # noqa: PTH208 - not a folder on a disk

    def failing(block):
        with block:
            raise KeyError

    before = opened()
    for number in range(3):
        left = tmp_path / f".setsolver-{number:016x}.part"
        left.touch()
        os.utime(left, (0, 0))  # which the next one sweeps
        write_own(tmp_path / "a", b"x", lambda _: True)
        write_folder(tmp_path / f"set {number}", {"a": b"x"})
        with building(tmp_path / f"book {number}"):
            pass
        for block in (aside(tmp_path / "b"), building(tmp_path / "c"), alone_in(tmp_path)):
            with pytest.raises(KeyError):
                failing(block)
    assert opened() == before
    if parts.fcntl is not None:
        lock = parts.hold(tmp_path / "book 0")
        assert lock is not None
        parts.let_go(lock)

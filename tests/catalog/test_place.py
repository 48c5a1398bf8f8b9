"""Where the index lies, on writable and on read-only folders."""

import os
import shutil
import sqlite3
import sys
from contextlib import closing
from pathlib import Path

import pytest

from setsolver.catalog.place import has_index, index_file, other_index, user_cache
from setsolver.catalog.store import Store
from setsolver.errors import BadInput


@pytest.fixture
def closed(monkeypatch):
    """Return a function that makes a folder refuse to be written, as a read-only disk does (also for root)."""
    shut: list[Path] = []
    real_mkdir, real_touch = Path.mkdir, Path.touch

    def inside(path):
        return any(folder in (path, *path.parents) for folder in shut)

    def mkdir(self, *args, **kwargs):
        if inside(self) and not self.exists():
            raise OSError(30, "Read-only file system", str(self))
        return real_mkdir(self, *args, **kwargs)

    def touch(self, *args, **kwargs):
        if inside(self):
            raise OSError(30, "Read-only file system", str(self))
        return real_touch(self, *args, **kwargs)

    monkeypatch.setattr(Path, "mkdir", mkdir)
    monkeypatch.setattr(Path, "touch", touch)
    return shut.append


@pytest.fixture
def cache(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return tmp_path / "cache" / "setsolver"


def test_inside_the_folder_where_it_can_be_written(tmp_path):
    assert index_file(tmp_path) == tmp_path / ".setsolver" / "index.db"
    assert list((tmp_path / ".setsolver").iterdir()) == []


def test_in_the_users_cache_where_it_cannot(tmp_path, cache, closed):
    folder = tmp_path / "archive disk"
    folder.mkdir()
    closed(folder)
    found = index_file(folder)
    assert found.parent.parent == cache
    assert found.parent.name.startswith("archive-disk-")
    assert list(folder.iterdir()) == []


def test_different_folders_of_one_name_have_different_indexes(tmp_path, cache, closed):
    one, two = tmp_path / "a" / "photos", tmp_path / "b" / "photos"
    for folder in (one, two):
        folder.mkdir(parents=True)
        closed(folder)
    assert index_file(one) != index_file(two)


def test_an_index_on_a_disk_that_became_read_only_is_taken_along(tmp_path, cache, closed):
    folder = tmp_path / "photos"
    folder.mkdir()
    with Store(index_file(folder), "1") as store:
        store.correct({"a.jpg": {"scale": "wide"}})
    closed(folder)
    outside = index_file(folder)
    with Store(outside, "1") as store:
        assert store.corrections() == {"a.jpg": {"scale": "wide"}}
        store.correct({"a.jpg": {"scale": "close"}})
    with Store(index_file(folder), "1") as store:
        assert store.corrections() == {"a.jpg": {"scale": "close"}}
    assert {p.name for p in outside.parent.iterdir()} == {"index.db"}


def test_what_was_not_yet_in_the_file_itself_is_taken_along_too(tmp_path, cache, closed):
    """A killed process leaves its last batches in the log beside the file."""
    folder = tmp_path / "photos"
    folder.mkdir()
    with Store(index_file(folder), "1") as store:
        store.correct({"a.jpg": {"scale": "wide"}})
        closed(folder)
        with Store(index_file(folder), "1") as outside:
            assert outside.corrections() == {"a.jpg": {"scale": "wide"}}


@pytest.mark.parametrize("content", [b"", b"no database at all " * 100])
def test_an_index_that_cannot_be_read_is_not_taken_along(tmp_path, cache, closed, content):
    (tmp_path / "photos" / ".setsolver").mkdir(parents=True)
    (tmp_path / "photos" / ".setsolver" / "index.db").write_bytes(content)
    closed(tmp_path / "photos")
    with Store(index_file(tmp_path / "photos"), "1") as store:
        assert store.known() == {}


def test_an_index_under_its_old_name_gets_the_new_one_once_it_is_free(tmp_path):
    old = tmp_path / ".setsolver" / "catalog.db"
    old.parent.mkdir()
    with Store(old, "1") as store:
        store.correct({"a.jpg": {"scale": "wide"}})
        assert index_file(tmp_path) == old
    new = index_file(tmp_path)
    assert [p.name for p in old.parent.iterdir()] == [new.name] == ["index.db"]
    with Store(new, "1") as store:
        assert store.corrections() == {"a.jpg": {"scale": "wide"}}


def test_a_strangers_database_keeps_its_name_and_every_byte(tmp_path):
    old = tmp_path / ".setsolver" / "catalog.db"
    old.parent.mkdir()
    stranger(old)
    before = old.read_bytes()
    with pytest.raises(BadInput, match="some other program"):
        Store(index_file(tmp_path), "1")
    assert old.read_bytes() == before
    assert [p.name for p in old.parent.iterdir()] == ["catalog.db"]


def stranger(path):
    with closing(sqlite3.connect(path)) as db:
        db.execute("CREATE TABLE recipe (name TEXT)")
        db.commit()


def test_nowhere_to_write_is_bad_input(tmp_path, cache, closed):
    folder = tmp_path / "photos"
    folder.mkdir()
    closed(tmp_path)
    with pytest.raises(BadInput, match="XDG_CACHE_HOME"):
        index_file(folder)


@pytest.mark.parametrize("name", ["missing", "file"])
def test_no_folder_is_bad_input(tmp_path, name):
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(BadInput, match=r"does not exist|is not a folder"):
        index_file(tmp_path / name)


def test_the_cache_folder_is_what_the_standard_says(monkeypatch, tmp_path):
    """XDG Base Directory Specification 0.8: a relative path in the variable counts for nothing."""
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_CACHE_HOME", "relative")
    where = user_cache()
    monkeypatch.delenv("XDG_CACHE_HOME")
    assert where == user_cache()
    assert where.is_relative_to(tmp_path)
    assert where.name == "setsolver" or sys.platform == "win32"


@pytest.fixture
def homeless(monkeypatch):
    """Make this user one that the system has no entry and no home of, as in many containers."""
    for name in ("HOME", "XDG_CACHE_HOME"):
        monkeypatch.delenv(name, raising=False)

    def nobody(number):
        raise KeyError(f"getpwuid(): uid not found: {number}")

    monkeypatch.setattr("pwd.getpwuid", nobody)


def test_without_a_home_a_folder_that_can_be_written_is_enough(tmp_path, homeless, monkeypatch):
    monkeypatch.chdir(tmp_path)
    found = index_file(tmp_path)
    assert found == tmp_path / ".setsolver" / "index.db"
    assert other_index(tmp_path, found) is None
    assert [p.name for p in tmp_path.iterdir()] == [".setsolver"]


def test_without_a_home_a_folder_that_cannot_be_written_says_what_to_set(tmp_path, homeless, closed):
    folder = tmp_path / "photos"
    folder.mkdir()
    closed(folder)
    with pytest.raises(BadInput, match=r"cannot be written, and this user has no home folder .* XDG_CACHE_HOME"):
        index_file(folder)


def test_a_real_read_only_folder(tmp_path, cache):
    """The operating system's own refusal, where this user can be refused at all."""
    folder = tmp_path / "photos"
    folder.mkdir()
    folder.chmod(0o555)
    try:
        if os.access(folder, os.W_OK):
            pytest.skip("this user may write anywhere (root); the simulated refusal above stands in")
        assert index_file(folder).parent.parent == cache
    finally:
        folder.chmod(0o755)
        shutil.rmtree(folder)


def test_a_folder_has_an_index_once_it_was_scanned_and_asking_makes_nothing(tmp_path, cache, closed):
    shoot, archive = tmp_path / "shoot", tmp_path / "archive"
    for folder in (shoot, archive):
        folder.mkdir()
        assert not has_index(folder)
        assert list(folder.iterdir()) == []
    assert not cache.exists()
    with Store(index_file(shoot), "1"):
        pass
    assert has_index(shoot)
    closed(archive)
    with Store(index_file(archive), "1"):  # in the user's cache
        pass
    assert has_index(archive)
    assert not has_index(tmp_path)

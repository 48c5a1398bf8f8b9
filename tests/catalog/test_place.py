"""Where the index lies, on writable and on read-only folders."""

import os
import shutil
from pathlib import Path

import pytest

from setsolver.catalog.place import index_file, user_cache
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
    assert index_file(tmp_path) == tmp_path / ".setsolver" / "catalog.db"
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
    inside = index_file(folder) if folder.exists() else (folder.mkdir(), index_file(folder))[1]
    inside.write_bytes(b"measured before")
    closed(folder)
    outside = index_file(folder)
    assert outside.read_bytes() == b"measured before"
    outside.write_bytes(b"and more since")
    assert index_file(folder).read_bytes() == b"and more since"


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


@pytest.mark.parametrize(("platform", "end"), [("darwin", "Library/Caches/setsolver"), ("linux", ".cache/setsolver")])
def test_cache_folder_by_platform(monkeypatch, platform, end):
    monkeypatch.delenv("XDG_CACHE_HOME", raising=False)
    monkeypatch.setattr("sys.platform", platform)
    assert user_cache().as_posix().endswith(end)


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

"""Which catalog files belong to, and what they are called there, on disks of several systems."""

import os
from unicodedata import normalize

import pytest

from setsolver.errors import BadInput
from setsolver.usecases import home
from setsolver.usecases.home import home_of, own_path, paths_in


def test_a_name_of_macos_is_found_by_what_a_keyboard_gives(tmp_path, monkeypatch):
    """As APFS and HFS+ find a file under both forms."""
    typed, listed = "misa-é.jpg", normalize("NFD", "misa-é.jpg")
    assert own_path(tmp_path, typed, {listed, "other.jpg"}) == listed
    monkeypatch.chdir(tmp_path)
    assert own_path(tmp_path, str(tmp_path / typed), {listed}) == listed
    assert paths_in(tmp_path, [tmp_path / typed], {listed}) == [listed]


def test_a_frame_is_found_by_its_path_in_the_catalog_and_on_the_disk(tmp_path, monkeypatch):
    (tmp_path / "shoot" / "kiln").mkdir(parents=True)
    monkeypatch.chdir(tmp_path / "shoot" / "kiln")
    known = {"kiln/a.jpg", "b.jpg"}
    for way in ("kiln/a.jpg", "a.jpg", "./a.jpg", "../kiln/a.jpg", str(tmp_path / "shoot" / "kiln" / "a.jpg")):
        assert own_path(tmp_path / "shoot", way, known) == "kiln/a.jpg"
    assert own_path(tmp_path / "shoot", "../b.jpg", known) == "b.jpg"
    assert own_path(tmp_path / "shoot", "c.jpg", known) is None


def test_a_file_on_another_disk_of_windows_is_in_no_catalog(tmp_path, monkeypatch):
    """No way leads from one drive to another there (ntpath.relpath and commonpath: ValueError)."""

    def elsewhere(*_):
        raise ValueError("path is on mount 'D:', start on mount 'C:'")

    monkeypatch.setattr(os.path, "relpath", elsewhere)
    assert own_path(tmp_path, "D:/a.jpg", {"a.jpg"}) is None
    with pytest.raises(BadInput, match="is not in the catalog"):
        paths_in(tmp_path, [tmp_path / "a.jpg"], {"b.jpg"})
    (tmp_path / "a.jpg").touch()
    monkeypatch.setattr(home, "commonpath", elsewhere)
    with pytest.raises(BadInput, match=r"different disks.*--catalog"):
        home_of([tmp_path / "a.jpg"])

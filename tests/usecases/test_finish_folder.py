"""The folder of a finish: whose it is, taken up again, and never over what somebody else put there."""

import os
import secrets
import threading
import time
from dataclasses import replace

import pytest
import pyvips

from setsolver.domain.finish import Finish
from setsolver.errors import BadInput
from setsolver.usecases.finish_folder import load_finish, write_finish
from setsolver.writing import write_new
from tests.usecases.finishing import PLAIN, made, two_drawings


@pytest.fixture
def shoot(tmp_path):
    return two_drawings(tmp_path)


@pytest.mark.parametrize("inside", [".", "prints"])
def test_a_folder_in_the_catalog_is_refused(shoot, inside):
    with pytest.raises(BadInput, match="lies in the catalog"):
        made(shoot, shoot[0] / inside)


def test_a_folder_that_holds_other_files_is_left_alone(shoot, tmp_path):
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "letter.txt").write_text("dear")
    with pytest.raises(BadInput, match="holds other files"):
        made(shoot, tmp_path / "out")
    assert [p.name for p in (tmp_path / "out").iterdir()] == ["letter.txt"]


def test_a_file_as_a_folder_is_refused(shoot, tmp_path):
    (tmp_path / "out").write_text("")
    with pytest.raises(BadInput, match="is a file"):
        made(shoot, tmp_path / "out")


def test_a_finish_is_taken_up_again(shoot, tmp_path):
    first = made(shoot, tmp_path / "out")
    kept = tmp_path / "out" / first.prints[0].file
    before = kept.stat().st_mtime_ns
    (tmp_path / "out" / first.prints[1].file).unlink()
    again = made(shoot, tmp_path / "out")
    assert kept.stat().st_mtime_ns == before
    assert again.prints[0] == first.prints[0]
    assert again.prints[1].tone == first.prints[1].tone
    assert again.complete


def test_a_file_that_was_put_in_the_way_is_not_overwritten(shoot, tmp_path):
    first = made(shoot, tmp_path / "out")
    path = tmp_path / "out" / first.prints[0].file
    path.write_bytes(b"a letter")
    with pytest.raises(BadInput, match="not overwritten"):
        made(shoot, tmp_path / "out")
    assert path.read_bytes() == b"a letter"


def test_a_print_that_a_killed_finish_left_makes_way(shoot, tmp_path):
    """Killed after a file got its name and before it was written down: the file is ours by its packet alone."""
    whole = made(shoot, tmp_path / "out")
    write_finish(tmp_path / "out", whole.model_copy(update={"prints": whole.prints[:1], "complete": False}))
    again = made(shoot, tmp_path / "out")
    assert again.complete
    assert again.prints[0] == whole.prints[0]


def test_a_print_that_somebody_retouched_is_not_overwritten(shoot, tmp_path):
    whole = made(shoot, tmp_path / "out")
    path = tmp_path / "out" / whole.prints[0].file
    path.write_bytes(path.read_bytes() + b"retouched")  # its packet is still there
    before = path.read_bytes()
    with pytest.raises(BadInput, match="not overwritten"):
        made(shoot, tmp_path / "out")
    assert path.read_bytes() == before


def test_prints_of_another_job_are_left_alone(shoot, tmp_path):
    made(shoot, tmp_path / "out")
    with pytest.raises(BadInput, match="another set or with other options"):
        made(shoot, tmp_path / "out", replace(PLAIN, ppi=100))


def test_another_document_is_left_alone(shoot, tmp_path):
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "finish.json").write_text("{}")
    with pytest.raises(BadInput, match="no document that this version reads"):
        made(shoot, tmp_path / "out")


def test_a_set_of_another_version_is_refused_before_anything_is_written(shoot, tmp_path):
    folder, outcome = shoot
    later = outcome.model_copy(update={"brief": {**outcome.brief, "hung": "upside down"}})
    with pytest.raises(BadInput, match=r"none that this version reads .*make it again"):
        made((folder, later), tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_a_full_disk_leaves_what_is_whole_and_no_part(shoot, tmp_path, monkeypatch):
    from setsolver.usecases import finish_file  # noqa: PLC0415 - to break one step of it

    real, calls, lock = finish_file.save, [], threading.Lock()

    def save(codes, path, paper):
        with lock:
            calls.append(path)
            full = len(calls) == 2
        if full:
            path.write_bytes(b"II*\0 half")
            raise pyvips.Error(f"unable to call tiffsave {path}: write error", "No space left on device vips2tiff: wri")
        real(codes, path, paper)

    monkeypatch.setattr(finish_file, "save", save)
    with pytest.raises(
        BadInput, match=r"02-[^:]*tif: No space left on device; make room, .*; prints that are done stay$"
    ):
        made(shoot, tmp_path / "out", workers=1)
    assert sorted(p.name for p in (tmp_path / "out").iterdir()) == ["01-1.tif", "finish.json"]
    monkeypatch.setattr(finish_file, "save", real)
    assert made(shoot, tmp_path / "out").complete


def test_nobody_sweeps_away_a_print_that_is_being_made(shoot, tmp_path, monkeypatch):
    """Writing the document of one print sweeps what killed processes left; what is held by this one is not that."""
    from setsolver.usecases import finish_file  # noqa: PLC0415 - to wait in one step of it

    real = finish_file.read_back

    def slowly(path, *given):
        old = time.time() - 60
        os.utime(path, (old, old))
        write_new(tmp_path / "out" / f"{secrets.token_hex(4)}.txt", b"swept")
        return real(path, *given)

    monkeypatch.setattr(finish_file, "read_back", slowly)
    assert made(shoot, tmp_path / "out", workers=2).complete


def test_a_picture_for_the_web_of_somebody_else_is_left_alone(shoot, tmp_path):
    first = made(shoot, tmp_path / "out", replace(PLAIN, web=200))
    (tmp_path / "out" / first.prints[0].file).unlink()
    (tmp_path / "out" / first.prints[1].file).unlink()
    (tmp_path / "out" / "web" / "02-2.jpg").write_bytes(b"a letter")
    with pytest.raises(BadInput, match="not overwritten"):
        made(shoot, tmp_path / "out", replace(PLAIN, web=200))
    assert (tmp_path / "out" / "web" / "02-2.jpg").read_bytes() == b"a letter"


def test_a_stop_leaves_whole_files(shoot, tmp_path):
    def told(_what, done, _total):
        if done == 1:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        made(shoot, tmp_path / "out", workers=1, progress=told)
    names = sorted(p.name for p in (tmp_path / "out").iterdir())
    assert names in (["01-1.tif", "finish.json"], ["01-1.tif", "02-2.tif", "finish.json"])
    document = load_finish(tmp_path / "out")
    assert isinstance(document, Finish)
    assert not document.complete
    assert made(shoot, tmp_path / "out").complete

"""Scans where files and folders are out of sight, moved, or no files at all: nothing is lost and nothing waits."""

import errno
import io
import os

import pytest
from PIL import Image

from setsolver.api import Catalog
from setsolver.errors import BadInput
from setsolver.usecases.frames import correct
from setsolver.usecases.snapshot import snapshot
from tests.catalog.pictures import dng, save, scene
from tests.catalog.test_metadata import keywords
from tests.catalog.test_xmp import packet
from tests.usecases.shoots import counts, run, shoot


@pytest.mark.parametrize("where", ["", "sub"])
def test_a_link_in_a_circle_costs_nothing_but_itself(tmp_path, where):
    shoot(tmp_path / where, 6)
    run(tmp_path)
    (tmp_path / where / "loop.jpg").symlink_to("loop.jpg")
    report = run(tmp_path)
    assert (counts(report), report.frames, len(snapshot(tmp_path).frames)) == ((0, 0, 6, 0), 6, 6)
    assert [out.path for out in report.refused] == [f"{where}/loop.jpg".lstrip("/")]
    (tmp_path / where / "loop.jpg").unlink()
    assert run(tmp_path).refused == ()


def failing(monkeypatch, name):
    """Let the disk fail at a folder."""
    real = os.scandir

    def scandir(where):
        if os.fspath(where).endswith(name):
            raise OSError(errno.EIO, "Input/output error", str(where))
        return real(where)

    monkeypatch.setattr(os, "scandir", scandir)


def test_frames_of_a_closed_folder_stay_and_count(tmp_path, monkeypatch):
    shoot(tmp_path, 2)
    shoot(tmp_path / "closed" / "deep", 3)
    run(tmp_path)
    with monkeypatch.context() as patch:
        failing(patch, "closed")
        for _ in range(2):
            report = run(tmp_path)
            assert (counts(report), report.unseen, report.frames) == ((0, 0, 2, 0), 3, 5)
            assert [out.path for out in report.refused] == ["closed"]
        assert len(snapshot(tmp_path).frames) == 5
    report = run(tmp_path)
    assert (counts(report), report.unseen, report.refused) == ((0, 0, 5, 0), 0, ())


def test_a_catalog_whose_own_folder_fails_forgets_nothing(tmp_path, monkeypatch):
    shoot(tmp_path)
    run(tmp_path)
    with monkeypatch.context() as patch:
        failing(patch, tmp_path.name)
        with pytest.raises(BadInput, match="Input/output error"):
            run(tmp_path)
    assert len(snapshot(tmp_path).frames) == 3


def test_pipes_and_devices_are_refused_and_nothing_waits_for_them(tmp_path):
    shoot(tmp_path, 2)
    os.mkfifo(tmp_path / "pipe.jpg")
    os.mkfifo(tmp_path / "frame-000.xmp")
    (tmp_path / "zero.jpg").symlink_to("/dev/zero")
    for _ in range(2):
        report = run(tmp_path)
        assert [out.path for out in report.refused] == ["pipe.jpg", "zero.jpg"]
        assert report.frames == 2
    assert "sidecar" in snapshot(tmp_path).by_path("frame-000.png").note


def test_a_sidecar_that_goes_bad_and_good_again_is_noted_and_no_more(tmp_path):
    shoot(tmp_path, 1)
    sidecar = tmp_path / "frame-000.xmp"
    for content, note, words in (
        (b"<broken", "no XML", ()),
        (packet(keywords("kiln")), "", ("kiln",)),
        (b"<broken again", "no XML", ()),
    ):
        sidecar.write_bytes(content)
        run(tmp_path)
        (frame,) = snapshot(tmp_path).frames
        assert frame.shot.keywords == words
        assert note in frame.note
        assert bool(note) == bool(frame.note)


def test_a_new_sidecar_of_a_thumbnail_keeps_what_the_raw_file_says(tmp_path):
    out = io.BytesIO()
    Image.fromarray(scene(160, 120)).save(out, "JPEG")
    (tmp_path / "k.dng").write_bytes(dng(out.getvalue(), (160, 120)))
    save(tmp_path / "k.jpg", scene(64, 48))
    run(tmp_path)
    (before,) = snapshot(tmp_path).frames
    assert before.shot.camera == "Hillside Clay One"
    (tmp_path / "k.xmp").write_bytes(packet("<xmp:Rating>4</xmp:Rating>"))
    run(tmp_path)
    (after,) = snapshot(tmp_path).frames
    assert (after.shot.rating, after.shot.time, after.shot.camera) == (4, before.shot.time, before.shot.camera)
    assert Catalog.open(tmp_path).picture("k.jpg", 1280).shape == (120, 160, 3)


@pytest.mark.parametrize("scans_between", [0, 1])
def test_a_renamed_file_takes_its_correction_along(tmp_path, scans_between):
    shoot(tmp_path, 3)
    run(tmp_path)
    correct(tmp_path, {"frame-001.png": {"scale": "close"}})
    (tmp_path / "frame-001.png").rename(tmp_path / "out of sight")
    for _ in range(scans_between):
        run(tmp_path)
    (tmp_path / "sub").mkdir()
    (tmp_path / "out of sight").rename(tmp_path / "sub" / "pot.png")
    report = run(tmp_path)
    assert [frame.said for frame in snapshot(tmp_path).frames] == [None, None, "close"]
    assert [remark for remark in report.remarks if "frame-001.png" in remark and "sub/pot.png" in remark]
    assert run(tmp_path).remarks == ()


def test_pictures_of_formats_that_are_not_read_are_counted(tmp_path):
    shoot(tmp_path, 1)
    for name in ("a.gif", "b.gif", "c.jxl", "d.txt"):
        (tmp_path / name).write_bytes(b"x")
    report = run(tmp_path)
    assert report.unread == (("gif", 2), ("jxl", 1))
    assert report.frames == 1

"""Scans of what is broken, misplaced or oddly named: listed with a reason, and the rest is kept."""

import json
import os
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path

import pytest

from setsolver.catalog.reader import content_hash
from setsolver.errors import FrameRefused
from setsolver.usecases import measuring
from setsolver.usecases.scan import scan
from setsolver.usecases.snapshot import snapshot
from tests.catalog import fakes
from tests.catalog.pictures import exif, png_header, save, scene
from tests.usecases.shoots import counts, run, shoot


def test_a_frame_that_kills_its_worker_is_refused_and_the_rest_is_kept(tmp_path):
    shoot(tmp_path, 10)
    bomb = scene(64, 48)
    bomb[0, 0] = fakes.KILLER
    save(tmp_path / "frame-004.png", bomb)
    report = run(tmp_path, workers=2)
    assert [out.path for out in report.refused] == ["frame-004.png"]
    assert "crashes the decoder" in report.refused[0].why
    assert report.new == 9


def test_what_was_answered_before_the_workers_died_is_kept(tmp_path, monkeypatch):
    shoot(tmp_path, 30)
    submit = measuring.ProcessPoolExecutor.submit

    def broken(self, *work):
        submitted.append(work)
        if len(submitted) == 10:  # 8 chunks go out at the start, one more with the first answer
            raise BrokenProcessPool
        return submit(self, *work)

    submitted = []
    monkeypatch.setattr(measuring.ProcessPoolExecutor, "submit", broken)
    assert counts(run(tmp_path, workers=2)) == (30, 0, 0, 0)


def test_a_reason_of_many_lines_is_told_in_one(tmp_path, monkeypatch):
    def talkative(*_, **__):
        raise FrameRefused("it is damaged (Invalid input:\n  end of file\n); copy it again")

    shoot(tmp_path, 1)
    monkeypatch.setattr(measuring, "read", talkative)
    assert [out.why for out in run(tmp_path).refused] == ["it is damaged (Invalid input: end of file); copy it again"]


def test_a_feature_that_fails_costs_the_frame_not_the_scan(tmp_path):
    shoot(tmp_path, 2)
    report = scan(tmp_path, workers=0, factory=fakes.failing_measurer)
    assert [out.why for out in report.refused] == [
        "it cannot be measured (ZeroDivisionError: no tone in (48, 64, 3))"
    ] * 2


BAD = {
    "truncated.jpg": ("truncated", "cut off, a part of the picture is missing"),
    "text.jpg": (b"Dear client, here are the photographs.", "no picture that is read here"),
    "empty.jpg": (b"", "0 bytes"),
    "bomb.png": (png_header(60_000, 60_000), "60000 x 60000 pixels"),
    "dot.png": (png_header(1, 1), "1 x 1 pixels"),
    "camera.nef": (b"II*\0" + b"\xff" * 200, "LibRaw cannot read"),
    "broken.heic": (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + b"\0" * 40, "damaged"),
    "broken.tif": (b"II*\0\x08\0\0\0\xff\xff" + b"\x01" * 64, "damaged|no picture"),
    "broken.webp": (b"RIFF\x40\0\0\0WEBPVP8 " + b"\x01" * 50, "damaged|no picture"),
}


@pytest.fixture
def bad_folder(tmp_path):
    shoot(tmp_path, 2)
    whole = save(tmp_path / "truncated.jpg", scene(640, 480)).read_bytes()
    for name, (content, _) in BAD.items():
        (tmp_path / name).write_bytes(whole[: len(whole) // 2] if content == "truncated" else content)
    (tmp_path / "gone.jpg").symlink_to(tmp_path / "nowhere.jpg")
    return tmp_path


@pytest.mark.parametrize("workers", [0, 2])
def test_bad_files_are_listed_with_their_reasons_and_the_rest_is_kept(bad_folder, workers):
    before = {path: path.read_bytes() for path in bad_folder.iterdir() if path.is_file()}
    report = run(bad_folder, workers=workers)
    whys = {out.path: out.why for out in report.refused}
    assert set(whys) == {*BAD, "gone.jpg"}
    assert report.new == 2
    for name, (_, reason) in BAD.items():
        assert any(part in whys[name] for part in reason.split("|")), whys[name]
        assert ";" in whys[name], "no way out"
        assert "\n" not in whys[name]
    assert "vanished" in whys["gone.jpg"]
    assert snapshot(bad_folder).refused == report.refused
    assert {path: path.read_bytes() for path in bad_folder.iterdir() if path.is_file()} == before


def test_refused_files_are_not_tried_again_until_they_change(bad_folder, monkeypatch):
    run(bad_folder)
    tried = []
    real = measuring.content_hash
    monkeypatch.setattr(measuring, "content_hash", lambda file, *rest: (tried.append(file.name), real(file, *rest))[1])
    assert len(run(bad_folder).refused) == len(BAD) + 1
    assert tried == []
    save(bad_folder / "empty.jpg", scene(64, 48))
    save(bad_folder / "nowhere.jpg", scene(64, 48))  # the link leads somewhere now
    report = run(bad_folder)
    assert sorted(tried) == ["empty.jpg", "gone.jpg", "nowhere.jpg"]
    assert report.new == 3


def test_a_file_that_vanishes_after_the_listing(tmp_path, monkeypatch):
    shoot(tmp_path)
    monkeypatch.setattr(
        measuring, "content_hash", lambda file, *rest: (file.unlink(missing_ok=True), content_hash(file, *rest))[1]
    )
    report = run(tmp_path)
    assert all("vanished before it was read" in out.why for out in report.refused)
    assert len(report.refused) == 3


def test_no_permission_is_said_and_tried_again(tmp_path, monkeypatch):
    """Simulated, for tests that run as root: the system refuses to open one file."""
    shoot(tmp_path, 2)
    real = Path.open

    def refuse(self, *args, **kwargs):
        if self.name == "frame-001.png":
            raise PermissionError(13, "Permission denied", str(self))
        return real(self, *args, **kwargs)

    with monkeypatch.context() as patch:
        patch.setattr(Path, "open", refuse)
        for _ in range(2):
            report = run(tmp_path)
            assert [(out.path, "no permission" in out.why) for out in report.refused] == [("frame-001.png", True)]
    assert counts(run(tmp_path)) == (1, 0, 1, 0)


def test_odd_names_come_through(tmp_path):
    odd = ["new\nline.png", "quote'\".png", "<script>alert(1)<script>.png", "semi;colon.png"]
    for name in odd:
        save(tmp_path / name, scene(64, 48))
    save(tmp_path / "x.png", scene(64, 48)).rename(tmp_path / os.fsdecode(b"caf\xe9\xff.png"))
    report = run(tmp_path)
    assert (report.new, report.refused) == (5, ())
    paths = [frame.path for frame in snapshot(tmp_path).frames]
    assert sorted([*odd, "caf\\xe9\\xff.png"]) == paths
    assert json.loads(json.dumps(paths)) == paths


def test_absurd_dates_do_not_stop_a_scan(tmp_path):
    save(tmp_path / "a.jpg", scene(64, 48), exif=exif(own={0x9003: "9999:99:99 99:99:99"}))
    assert run(tmp_path).new == 1
    assert snapshot(tmp_path).frames[0].shot.time is None

"""Scans of real files with a fake measuring: what is new, changed, refused, interrupted."""

import json
import os
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from setsolver.catalog.place import index_file
from setsolver.catalog.reader import content_hash
from setsolver.catalog.store import Store
from setsolver.errors import BadInput, CatalogBusy
from setsolver.usecases import measuring
from setsolver.usecases.scan import MEASURE_VERSION, scan
from setsolver.usecases.snapshot import snapshot
from tests.catalog import fakes
from tests.catalog.pictures import exif, png_header, save, scene
from tests.catalog.test_xmp import packet

ROOT = Path(__file__).parents[2]


def shoot(folder, count=3):
    for number in range(count):
        save(folder / f"frame-{number:03d}.png", scene(64, 48, seed=number))
    return folder


def run(folder, **options):
    return scan(folder, factory=fakes.measurer, **({"workers": 0} | options))


def counts(report):
    return report.new, report.changed, report.unchanged, report.removed


def test_first_and_second_scan(tmp_path):
    shoot(tmp_path)
    assert counts(run(tmp_path)) == (3, 0, 0, 0)
    assert counts(run(tmp_path)) == (0, 0, 3, 0)
    assert [frame.path for frame in snapshot(tmp_path).frames] == ["frame-000.png", "frame-001.png", "frame-002.png"]


def test_only_what_changed_is_measured(tmp_path, monkeypatch):
    shoot(tmp_path)
    run(tmp_path)
    save(tmp_path / "frame-001.png", scene(80, 48))
    (tmp_path / "frame-000.png").unlink()
    save(tmp_path / "sub" / "new.png", scene(64, 48, seed=9))
    seen = []
    monkeypatch.setattr(
        measuring, "read", lambda file, *rest, _real=measuring.read: (seen.append(file.name), _real(file, *rest))[1]
    )
    assert counts(run(tmp_path)) == (1, 1, 1, 1)
    assert sorted(seen) == ["frame-001.png", "new.png"]


def test_a_touched_file_with_the_same_content_keeps_its_measures(tmp_path, monkeypatch):
    shoot(tmp_path)
    run(tmp_path)
    os.utime(tmp_path / "frame-000.png", (1, 1))
    monkeypatch.setattr(measuring, "read", lambda *_: pytest.fail("pixels were read again"))
    assert counts(run(tmp_path)) == (0, 0, 3, 0)
    monkeypatch.setattr(measuring, "content_hash", lambda *_: pytest.fail("the content was read again"))
    assert counts(run(tmp_path)) == (0, 0, 3, 0)


def test_same_size_and_time_class_but_other_content_is_seen(tmp_path):
    path = save(tmp_path / "a.png", scene(64, 48))
    run(tmp_path)
    data = bytearray(save(tmp_path / "b.png", scene(64, 48, seed=3)).read_bytes())
    (tmp_path / "b.png").unlink()
    data += b"\0" * max(0, path.stat().st_size - len(data))
    path.write_bytes(bytes(data[: max(len(data), path.stat().st_size)]))
    assert counts(run(tmp_path)) == (0, 1, 0, 0)


def test_force_measures_everything_again(tmp_path):
    shoot(tmp_path)
    run(tmp_path)
    assert counts(run(tmp_path, force=True)) == (0, 3, 0, 0)


def test_a_new_version_of_the_measuring_measures_again(tmp_path, monkeypatch):
    shoot(tmp_path)
    run(tmp_path)
    monkeypatch.setattr("setsolver.usecases.scan.MEASURE_VERSION", "another")
    assert counts(run(tmp_path)) == (0, 3, 0, 0)
    assert counts(run(tmp_path)) == (0, 0, 3, 0)


def test_a_sidecar_is_read_without_measuring_again(tmp_path, monkeypatch):
    shoot(tmp_path)
    run(tmp_path)
    (tmp_path / "frame-001.xmp").write_bytes(packet("<xmp:Rating>4</xmp:Rating>"))
    monkeypatch.setattr(measuring, "read", lambda *_: pytest.fail("pixels were read again"))
    assert counts(run(tmp_path)) == (0, 0, 3, 0)
    assert [frame.shot.rating for frame in snapshot(tmp_path).frames] == [None, 4, None]


def test_worker_processes_find_the_same(tmp_path):
    one, two = shoot(tmp_path / "one", 9), shoot(tmp_path / "two", 9)
    assert counts(run(one)) == counts(run(two, workers=2)) == (9, 0, 0, 0)
    pairs = zip(snapshot(one).frames, snapshot(two).frames, strict=True)
    assert all(
        (a.path, a.measures.phash, a.measures.tone) == (b.path, b.measures.phash, b.measures.tone) for a, b in pairs
    )


def test_a_frame_that_kills_its_worker_is_refused_and_the_rest_is_kept(tmp_path):
    shoot(tmp_path, 10)
    bomb = scene(64, 48)
    bomb[0, 0] = fakes.KILLER
    save(tmp_path / "frame-004.png", bomb)
    report = run(tmp_path, workers=2)
    assert [out.path for out in report.refused] == ["frame-004.png"]
    assert "crashes the decoder" in report.refused[0].why
    assert report.new == 9


def test_a_feature_that_fails_costs_the_frame_not_the_scan(tmp_path):
    shoot(tmp_path, 2)
    report = scan(tmp_path, workers=0, factory=fakes.failing_measurer)
    assert [out.why for out in report.refused] == [
        "it cannot be measured (ZeroDivisionError: no tone in (48, 64, 3))"
    ] * 2


BAD = {
    "truncated.jpg": ("truncated", "cut off or damaged"),
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


def test_an_empty_folder(tmp_path):
    report = run(tmp_path)
    assert (report.frames, report.refused) == (0, ())
    assert snapshot(tmp_path).frames == ()


@pytest.mark.parametrize("workers", [-1, -5])
def test_negative_workers_are_bad_input(tmp_path, workers):
    with pytest.raises(BadInput, match=str(workers)):
        run(tmp_path, workers=workers)


def test_two_scans_at_once(tmp_path):
    shoot(tmp_path)
    with (
        Store(index_file(tmp_path), MEASURE_VERSION) as store,
        store.scanning(),
        pytest.raises(CatalogBusy, match="wait until it is done"),
    ):
        run(tmp_path)


def test_progress_tells_every_frame_once(tmp_path):
    shoot(tmp_path, 4)
    told = []
    run(tmp_path, progress=lambda *what: told.append(what))
    assert [what for what in told if what[0] == "measuring"] == [("measuring", done, 4) for done in (1, 2, 3, 4)]


def test_ctrl_c_keeps_what_was_measured(tmp_path):
    shoot(tmp_path, 5)

    def interrupt(what, done, _total):
        if (what, done) == ("measuring", 3):
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run(tmp_path, progress=interrupt)
    assert len(snapshot(tmp_path).frames) == 3
    assert counts(run(tmp_path)) == (2, 0, 3, 0)


SLOW_SCAN = """
import sys
from pathlib import Path
from setsolver.usecases.scan import scan
from tests.catalog.fakes import slow_measurer
scan(Path(sys.argv[1]), workers=int(sys.argv[2]), factory=slow_measurer)
"""


def slow_scan(folder, workers):
    return subprocess.Popen(
        [sys.executable, "-c", SLOW_SCAN, str(folder), str(workers)], cwd=ROOT, stderr=subprocess.PIPE
    )


def wait_for_rows(folder, least):
    """Return how many frames are in the index once there are so many."""
    index = folder / ".setsolver" / "catalog.db"
    end = time.monotonic() + 60
    while time.monotonic() < end:
        try:
            with sqlite3.connect(f"file:{index}?mode=ro", uri=True) as db:
                (found,) = db.execute("SELECT count(*) FROM frame").fetchone()
            db.close()
        except sqlite3.OperationalError:
            found = 0
        if found >= least:
            return found
        time.sleep(0.05)
    pytest.fail("the scan wrote nothing for a minute")


@pytest.mark.slow
@pytest.mark.parametrize("workers", [0, 2])
def test_a_killed_scan_loses_at_most_the_batch_in_flight(tmp_path, workers):
    shoot(tmp_path, 300)
    process = slow_scan(tmp_path, workers)
    try:
        written = wait_for_rows(tmp_path, 30)
    finally:
        process.kill()
        process.communicate()
    kept = len(snapshot(tmp_path).frames)
    assert kept >= written
    report = run(tmp_path)
    assert report.unchanged == kept
    assert report.new == 300 - kept
    assert len(snapshot(tmp_path).frames) == 300


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="sends a POSIX signal")
def test_a_real_ctrl_c_ends_workers_and_keeps_rows(tmp_path):
    shoot(tmp_path, 300)
    process = slow_scan(tmp_path, 2)
    wait_for_rows(tmp_path, 20)
    process.send_signal(signal.SIGINT)
    _, error = process.communicate(timeout=30)
    assert process.returncode != 0
    assert b"KeyboardInterrupt" in error
    assert run(tmp_path).unchanged >= 20


def test_a_scan_may_run_in_a_thread(tmp_path):
    shoot(tmp_path, 2)
    found = []
    thread = threading.Thread(target=lambda: found.append(run(tmp_path).new))
    thread.start()
    thread.join()
    assert found == [2]


def test_a_scan_without_news_loads_nothing_that_measures_or_groups(tmp_path):
    run(shoot(tmp_path))
    code = "import sys; from pathlib import Path; from setsolver.usecases.scan import scan; "
    code += "report = scan(Path(sys.argv[1])); print(report.unchanged, *sorted(set(sys.modules) & set(sys.argv[2:])))"
    heavy = ["cv2", "joblib", "lxml", "ortools", "PIL", "pydantic", "rawpy", "scipy", "sklearn"]
    found = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path), *heavy], capture_output=True, text=True, check=True
    )
    assert found.stdout.split() == ["3"]

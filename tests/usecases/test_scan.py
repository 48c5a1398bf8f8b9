"""Scans of real files with a fake measuring: what is new, changed and unchanged."""

import os
import sqlite3
import subprocess
import sys
import threading
from contextlib import closing
from dataclasses import replace

import pytest

from setsolver.catalog.place import index_file
from setsolver.catalog.store import Store
from setsolver.domain.measures import Measures, ScaleOdds
from setsolver.domain.origin import later
from setsolver.errors import BadInput, CatalogBusy
from setsolver.usecases import measuring
from setsolver.usecases.snapshot import snapshot
from setsolver.usecases.tasks import EVERYTHING, READ, VERSION
from tests.catalog import fakes
from tests.catalog.pictures import save, scene
from tests.catalog.test_xmp import packet
from tests.usecases.shoots import counts, run, shoot


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
        measuring,
        "read",
        lambda file, *rest, _real=measuring.read, **turn: (seen.append(file.name), _real(file, *rest, **turn))[1],
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


def as_if_measured_before(folder, **versions):
    """Let the index say that some measures are of other versions."""
    with closing(sqlite3.connect(index_file(folder))) as db, db:
        now = dict(part.split("=") for part in VERSION.split())
        old = " ".join(f"{name}={version}" for name, version in sorted((now | versions).items()) if version)
        db.execute("UPDATE frame SET version = ?", (old,))


def test_a_changed_head_is_told_again_from_what_was_kept_and_no_file_is_opened(tmp_path, monkeypatch):
    shoot(tmp_path)
    run(tmp_path)
    as_if_measured_before(tmp_path, inner_odds="0")
    asked = []

    def measurer(rgb, known=None, due=()):
        asked.append((rgb, due))
        return replace(known, inner_odds=ScaleOdds(0.125, 0.5, 0.375))

    monkeypatch.setattr(measuring, "content_hash", lambda *_: pytest.fail("a file was read"))
    assert counts(run(tmp_path, factory=lambda: measurer)) == (0, 3, 0, 0)
    assert asked == [(None, {"inner_odds"})] * 3
    assert [frame.measures.inner_odds.wide for frame in snapshot(tmp_path).frames] == [0.125] * 3
    assert counts(run(tmp_path)) == (0, 0, 3, 0)


def test_a_changed_feature_is_measured_again_with_all_that_is_told_from_it_and_nothing_else(tmp_path):
    shoot(tmp_path, 1)
    run(tmp_path)
    (before,) = snapshot(tmp_path).frames
    as_if_measured_before(tmp_path, tone="0")
    asked = []

    def measurer(rgb, known=None, due=()):
        asked.append((rgb is None, known.tone, known.phash == before.measures.phash, due))
        return replace(known, tone=before.measures.tone, quality=0.5)

    assert counts(run(tmp_path, factory=lambda: measurer)) == (0, 1, 0, 0)
    assert asked == [(False, None, True, {"tone", "quality", "appeal"})]


def test_a_file_whose_content_changed_under_its_old_time_is_measured_whole(tmp_path):
    path = shoot(tmp_path, 1) / "frame-000.png"
    run(tmp_path)
    as_if_measured_before(tmp_path, tone="0")
    with closing(sqlite3.connect(index_file(tmp_path))) as db, db:
        db.execute("UPDATE frame SET digest = ?", (b"other",))
    asked = []
    run(tmp_path, factory=lambda: lambda rgb, known=None, due=(): asked.append((known, due)) or fakes.measure(rgb))
    assert (path.name, asked) == ("frame-000.png", [(None, EVERYTHING)])


def test_an_unknown_version_measures_everything_again(tmp_path):
    shoot(tmp_path)
    run(tmp_path)
    with closing(sqlite3.connect(index_file(tmp_path))) as db, db:
        db.execute("UPDATE frame SET version = '7'")
    assert counts(run(tmp_path)) == (0, 3, 0, 0)
    assert counts(run(tmp_path)) == (0, 0, 3, 0)


def test_a_quick_scan_leaves_the_slow_network_and_a_later_one_fills_in(tmp_path):
    shoot(tmp_path, 2)
    asked = []

    def measurer(rgb, known=None, due=()):
        asked.append(due)
        return fakes.measure(rgb)

    report = run(tmp_path, factory=lambda: measurer, quick=True)
    assert counts(report) == (2, 0, 0, 0)
    assert "2 frames were measured quickly" in report.remarks[0]
    assert asked == [EVERYTHING - later(Measures)] * 2
    assert len(snapshot(tmp_path).frames) == 2
    assert counts(run(tmp_path, quick=True)) == (0, 0, 2, 0)
    asked.clear()
    report = run(tmp_path, factory=lambda: measurer)
    assert (counts(report), report.remarks) == ((0, 2, 0, 0), ())
    assert all(later(Measures) <= due < EVERYTHING for due in asked)
    assert counts(run(tmp_path, quick=True)) == (0, 0, 2, 0)


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


def test_an_empty_folder(tmp_path):
    report = run(tmp_path)
    assert (report.frames, report.refused) == (0, ())
    assert len(snapshot(tmp_path).frames) == 0


@pytest.mark.parametrize("workers", [-1, -5])
def test_negative_workers_are_bad_input(tmp_path, workers):
    with pytest.raises(BadInput, match=str(workers)):
        run(tmp_path, workers=workers)


def test_two_scans_at_once(tmp_path):
    shoot(tmp_path)
    with (
        Store(index_file(tmp_path), *READ) as store,
        store.scanning(),
        pytest.raises(CatalogBusy, match="wait until it is done"),
    ):
        run(tmp_path)


def test_progress_tells_every_frame_once(tmp_path):
    shoot(tmp_path, 4)
    told = []
    run(tmp_path, progress=lambda *what: told.append(what))
    assert [what for what in told if what[0] == "measuring"] == [("measuring", done, 4) for done in (1, 2, 3, 4)]


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

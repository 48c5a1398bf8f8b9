"""Scans that are interrupted: what was measured is kept."""

import os
import signal
import sqlite3
import subprocess
import sys
import time

import pytest

from setsolver.usecases.snapshot import snapshot
from tests.usecases.shoots import ROOT, counts, run, shoot


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

"""Scans that are interrupted: what was measured is kept."""

import os
import signal
import sqlite3
import subprocess
import sys
import time

import pytest

from setsolver.catalog.store import Store
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


def test_ctrl_c_while_a_batch_is_written_loses_nothing(tmp_path, monkeypatch):
    shoot(tmp_path, 5)
    write = Store.write

    def struck(self, measured, refused=()):
        if measured:
            signal.raise_signal(signal.SIGINT)
        write(self, measured, refused)

    monkeypatch.setattr(Store, "write", struck)
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    with pytest.raises(KeyboardInterrupt):
        run(tmp_path)
    signal.signal(signal.SIGINT, before)
    assert len(snapshot(tmp_path).frames) == 5


SLOW_SCAN = """
import signal
import sys
from pathlib import Path
from setsolver.usecases.scan import scan
from tests.catalog.fakes import slow_measurer
signal.signal(signal.SIGINT, signal.default_int_handler)  # shells start background jobs without it
scan(Path(sys.argv[1]), workers=int(sys.argv[2]), factory=slow_measurer)
"""
STRUCK_WITH_A_LOCK = """
import sys
import threading
taken, left = threading.Condition.__enter__, int(sys.argv[3])
def struck(self):
    global left
    answer = taken(self)
    if threading.get_ident() == threading.main_thread().ident:
        left -= 1
        if left == 0:
            signal.raise_signal(signal.SIGINT)
    return answer
threading.Condition.__enter__ = struck
"""
"""Ctrl-C at the worst moment: the main thread has just taken a lock that the pool's own thread needs, too."""


def slow_scan(folder, workers, *more, script=SLOW_SCAN):
    """Start a scan that answers Ctrl-C like one in a terminal: in a process group with its workers and no others."""
    return subprocess.Popen(
        [sys.executable, "-c", script, str(folder), str(workers), *map(str, more)],
        cwd=ROOT,
        stderr=subprocess.PIPE,
        start_new_session=True,
    )


def ended(process, seconds=30):
    """Return what a scan wrote to stderr; that ends when the last of its processes does."""
    try:
        return process.communicate(timeout=seconds)[1].decode()
    except subprocess.TimeoutExpired:
        os.killpg(process.pid, signal.SIGKILL)
        raise


def wait_for_workers(scan):
    """Return once the scan has started both workers; they import for a while longer."""
    end = time.monotonic() + 60
    while time.monotonic() < end:
        found = subprocess.run(
            ["ps", "-A", "-ww", "-o", "pgid=", "-o", "args="], capture_output=True, text=True, check=True
        ).stdout
        mine = [line for line in found.splitlines() if line.split()[0] == str(scan)]
        if sum("--process-name" in line for line in mine) >= 2:
            return
        time.sleep(0.01)
    pytest.fail("the scan started no workers for a minute")


def wait_for_rows(folder, least):
    """Return how many frames are in the index once there are so many."""
    index = folder / ".setsolver" / "index.db"
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
        ended(process)
    kept = len(snapshot(tmp_path).frames)
    assert kept >= written
    report = run(tmp_path)
    assert report.unchanged == kept
    assert report.new == 300 - kept
    assert len(snapshot(tmp_path).frames) == 300


POSIX = pytest.mark.skipif(os.name != "posix", reason="sends a POSIX signal")


@POSIX
@pytest.mark.slow
@pytest.mark.parametrize("rows", [0, 20])
@pytest.mark.parametrize("again", [False, True])
def test_a_real_ctrl_c_ends_workers_and_keeps_rows(tmp_path, rows, again):
    shoot(tmp_path, 300)
    process = slow_scan(tmp_path, 2)
    if rows:
        wait_for_rows(tmp_path, rows)
    else:
        wait_for_workers(process.pid)
    os.killpg(process.pid, signal.SIGINT)
    if again:
        time.sleep(0.02)
        os.killpg(process.pid, signal.SIGINT)
    error = ended(process)
    assert process.returncode != 0
    assert error.rstrip().endswith("KeyboardInterrupt")
    assert error.count("Traceback") <= 1 + again  # of the scan; a second one may strike on its way out
    assert "LokyProcess" not in error
    assert "ExecutorManagerThread" not in error
    assert run(tmp_path).unchanged >= rows


@POSIX
@pytest.mark.slow
@pytest.mark.parametrize("number", [1, 12, 25, 60])
def test_ctrl_c_while_a_lock_is_taken_ends_the_scan(tmp_path, number):
    shoot(tmp_path, 100)
    process = slow_scan(tmp_path, 2, number, script=SLOW_SCAN.replace("\nscan(", STRUCK_WITH_A_LOCK + "scan("))
    error = ended(process)
    assert error.rstrip().endswith("KeyboardInterrupt")
    assert error.count("Traceback") == 1


LATE_WORKER = "from setsolver.usecases.measuring import _quiet; import time; _quiet(0); time.sleep(60)"


@POSIX
def test_a_worker_that_starts_after_its_scan_was_killed_ends():
    worker = subprocess.Popen([sys.executable, "-c", LATE_WORKER], cwd=ROOT)
    assert worker.wait(timeout=30) == 1

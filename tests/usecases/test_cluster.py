"""Measuring on real Dask clusters of worker processes on this machine."""

import builtins
import os
import shutil
import signal
import subprocess
import sys
from contextlib import contextmanager
from pathlib import Path

import pytest

from setsolver.catalog.codec import pack_measures
from setsolver.errors import BadInput
from setsolver.usecases.many import run_many
from setsolver.usecases.scan import scan
from setsolver.usecases.snapshot import snapshot
from tests.catalog import fakes
from tests.catalog.pictures import save, scene
from tests.usecases import test_many
from tests.usecases.shoots import ROOT, counts, shoot
from tests.usecases.test_scan_stopped import ended, wait_for_rows

pytestmark = pytest.mark.filterwarnings("ignore")  # distributed and its asyncio loop warn of their own deprecations

CLUSTER = """
import sys
from dask.distributed import LocalCluster
if __name__ == "__main__":
    workers, threads = map(int, sys.argv[1:])
    with LocalCluster(n_workers=workers, threads_per_worker=threads, processes=True, dashboard_address=None) as cluster:
        print(cluster.scheduler_address, flush=True)
        sys.stdin.read()
"""
SCAN = """
import signal
import sys
from pathlib import Path
from setsolver.usecases import cluster
from setsolver.usecases.many import run_many
from setsolver.usecases.scan import scan
from tests.catalog import fakes
signal.signal(signal.SIGINT, signal.default_int_handler)
cluster._PATIENCE = int(sys.argv[4])
scan(Path(sys.argv[1]), factory=getattr(fakes, sys.argv[3]), cluster=sys.argv[2])
"""
PATIENT = {
    "DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES": "1",
    "DASK_DISTRIBUTED__DEPLOY__LOST_WORKER_TIMEOUT": "1h",
    "DASK_DISTRIBUTED__COMM__TIMEOUTS__CONNECT": "5s",
}
"""A task is given up when two workers died over it; four, Dask's own number, take longer. And ``LocalCluster`` stops a
worker for good that happens to be starting again a quarter of a minute after it was lost; other clusters do not.
A scheduler asks a worker that has just died for its results, and waits half a minute for it if left to itself."""


@contextmanager
def program(*command, cwd=ROOT):
    """Run a program as somebody else would."""
    pytest.importorskip("distributed", reason="the extra 'cluster' is not installed")
    process = subprocess.Popen(
        [sys.executable, *map(str, command)],
        cwd=cwd,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        env={**os.environ, **PATIENT, "PYTHONPATH": str(ROOT)},
    )
    try:
        yield process
    finally:
        if process.poll() is None:
            process.communicate(input="", timeout=60)


@contextmanager
def running(folder, workers, threads):
    """Start a cluster in a folder and yield where its scheduler answers."""
    script = folder / "cluster.py"
    script.write_text(CLUSTER)
    with program(script, workers, threads, cwd=folder) as cluster:
        yield cluster.stdout.readline().strip()


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    """Return the address of two worker processes that run in another folder than this one."""
    with running(tmp_path_factory.mktemp("cluster"), workers=2, threads=1) as address:
        yield address


@pytest.fixture
def alone(tmp_path_factory):
    """Return the address of a scheduler without workers."""
    with running(tmp_path_factory.mktemp("alone"), workers=0, threads=1) as address:
        yield address


def scan_apart(folder, address, factory="measurer", patience=60):
    """Start a scan in a process of its own: one that hangs fails the test, one that is killed is seen."""
    return subprocess.Popen(
        [sys.executable, "-c", SCAN, str(folder), address, factory, str(patience)],
        cwd=ROOT,
        stderr=subprocess.PIPE,
        start_new_session=True,
    )


def measures(folder):
    """Return every frame's path and measures, to the last bit."""
    return [(frame.path, pack_measures(frame.measures)) for frame in snapshot(folder).frames]


def killer(file):
    picture = scene(64, 48)
    picture[0, 0] = fakes.KILLER
    return save(file, picture)


@pytest.mark.slow
def test_a_cluster_finds_what_this_machine_finds(tmp_path, address):
    here, there = shoot(tmp_path / "here", 9), shoot(tmp_path / "there", 9)
    (there / "text.jpg").write_bytes(b"no picture")
    report = scan(there, factory=fakes.measurer, cluster=address)
    scan(here, factory=fakes.measurer, workers=0)
    assert (report.new, [out.path for out in report.refused]) == (9, ["text.jpg"])
    assert measures(there) == measures(here)


@pytest.mark.slow
def test_threads_of_one_worker_find_what_this_machine_finds(tmp_path):
    """Every thread has networks of its own."""
    for name in ("here", "there"):
        (tmp_path / name).mkdir()
        for file in sorted((ROOT / "demo_catalog").rglob("*.jpg"))[::6]:
            shutil.copy(file, tmp_path / name)
    with running(tmp_path, workers=1, threads=4) as address:
        report = scan(tmp_path / "there", cluster=address)
    scan(tmp_path / "here", workers=2)  # like those of a cluster: one thread for sums
    assert (report.refused, report.new >= 12) == ((), True)
    assert measures(tmp_path / "there") == measures(tmp_path / "here")


@pytest.mark.slow
def test_a_folder_named_from_here_is_found_by_workers_elsewhere(tmp_path, address, monkeypatch):
    shoot(tmp_path / "shoot", 3)
    monkeypatch.chdir(tmp_path)
    assert counts(scan(Path("shoot"), factory=fakes.measurer, cluster=address)) == (3, 0, 0, 0)
    assert counts(scan(Path("shoot"), factory=fakes.measurer, cluster=address, force=True)) == (0, 3, 0, 0)


@pytest.mark.slow
@pytest.mark.skipif(sys.platform != "linux", reason="needs /proc, a name that leads elsewhere in every process")
def test_what_workers_alone_cannot_reach_keeps_its_measures(tmp_path, address, monkeypatch):
    shoot(tmp_path / "shoot", 3)
    monkeypatch.chdir(tmp_path)
    folder = Path("/proc/self/cwd/shoot")
    scan(folder, factory=fakes.measurer, workers=0)
    before = measures(folder)
    save(folder / "new.png", scene(64, 48, seed=9))
    report = scan(folder, factory=fakes.measurer, cluster=address, force=True)
    assert measures(folder) == before
    assert (counts(report), report.frames) == ((0, 0, 3, 0), 3)
    assert [(out.path, "every worker must see" in out.why) for out in report.refused] == [("new.png", True)]
    assert "3 frames keep the measures they had" in report.remarks[0]


@pytest.mark.slow
def test_a_frame_that_kills_its_workers_is_refused_and_the_rest_is_measured(tmp_path, address):
    shoot(tmp_path, 12)
    killer(tmp_path / "frame-004.png")
    process = scan_apart(tmp_path, address)
    error = ended(process, seconds=120)  # Dask may log there that it asks for a result again
    assert process.returncode == 0, error
    found = snapshot(tmp_path)
    assert (len(found.frames), [out.path for out in found.refused]) == (11, ["frame-004.png"])
    assert "crashes the decoder" in found.refused[0].why


@pytest.mark.slow
def test_a_cluster_whose_only_worker_dies_is_said_and_what_was_measured_is_kept(tmp_path, alone):
    """On one core, where joblib would measure in the process that scans, and a frame would end that."""
    shoot(tmp_path, 12)
    killer(tmp_path / "frame-009.png")
    with program("-m", "distributed.cli.dask_worker", alone, "--no-nanny", "--nthreads", "1", "--no-dashboard"):
        error = ended(scan_apart(tmp_path, alone, "slow_measurer", patience=5))
    assert "BadInput: no worker" in error.splitlines()[-1]
    assert len(snapshot(tmp_path).frames) in {4, 8}  # what a worker had not yet handed over dies with it


@pytest.mark.slow
def test_a_scheduler_without_workers(tmp_path, monkeypatch, alone):
    monkeypatch.setattr("setsolver.usecases.cluster._PATIENCE", 1)
    shoot(tmp_path)
    with pytest.raises(BadInput, match=rf"no worker .*{alone}.*; start"):
        scan(tmp_path, factory=fakes.measurer, cluster=alone)


@pytest.mark.slow
def test_workers_that_cannot_measure_are_said_and_no_frame_is_blamed(tmp_path, address):
    shoot(tmp_path)
    with pytest.raises(BadInput, match=r"ModuleNotFoundError.*not_on_workers"):
        scan(tmp_path, factory=fakes.missing_measurer, cluster=address)
    assert snapshot(tmp_path).refused == ()


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="sends a POSIX signal")
def test_ctrl_c_ends_the_scan_and_keeps_rows(tmp_path, address):
    shoot(tmp_path, 300)
    process = scan_apart(tmp_path, address, "slow_measurer")
    written = wait_for_rows(tmp_path, 20)
    os.killpg(process.pid, signal.SIGINT)
    error = ended(process)
    assert error.rstrip().endswith("KeyboardInterrupt")
    assert error.count("Traceback") == 1
    assert written <= len(snapshot(tmp_path).frames) < 300


@pytest.mark.slow
def test_a_cluster_that_goes_away_is_said_and_what_was_measured_is_kept(tmp_path):
    shoot(tmp_path / "shoot", 300)
    with running(tmp_path, workers=1, threads=1) as address:
        process = scan_apart(tmp_path / "shoot", address, "slow_measurer", patience=5)
        wait_for_rows(tmp_path / "shoot", 20)
    assert "setsolver.errors.BadInput: " in ended(process).splitlines()[-1]
    assert 20 <= len(snapshot(tmp_path / "shoot").frames) < 300


def test_without_the_extra_the_command_to_install_it_is_said(tmp_path, monkeypatch):
    save(tmp_path / "a.png", scene(64, 48))
    real = builtins.__import__

    def refuse(name, *rest):
        if name.startswith("dask"):
            raise ImportError(name)
        return real(name, *rest)

    monkeypatch.setattr(builtins, "__import__", refuse)
    with pytest.raises(BadInput, match=r"pip install 'setsolver\[cluster\]'"):
        scan(tmp_path, factory=fakes.measurer, cluster="tcp://127.0.0.1:1")


@pytest.mark.slow
def test_a_scheduler_that_does_not_answer(tmp_path, monkeypatch):
    pytest.importorskip("distributed", reason="the extra 'cluster' is not installed")
    monkeypatch.setattr("setsolver.usecases.cluster._TIMEOUT", "1s")
    save(tmp_path / "a.png", scene(64, 48))
    with pytest.raises(BadInput, match=r"no Dask scheduler answers at 'tcp://127\.0\.0\.1:1'"):
        scan(tmp_path, factory=fakes.measurer, cluster="tcp://127.0.0.1:1")


def test_many_jobs_each_have_their_answer_from_the_cluster(tmp_path, address):
    jobs = [(str(tmp_path), number) for number in range(12) if number != 5]
    answers = {answer.job[1]: answer for answer in run_many(test_many.work, iter(jobs), cluster=address)}
    assert sorted(answers) == [number for number in range(12) if number != 5]
    assert answers[3].why == "three is refused"
    assert all(answer.result == number * number for number, answer in answers.items() if number != 3)
    assert len(list(tmp_path.iterdir())) == 11  # none was done twice

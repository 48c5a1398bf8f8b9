"""Measuring on a real Dask cluster of two worker processes on this machine."""

import builtins
import os
import subprocess
import sys
import warnings

import pytest

from setsolver.errors import BadInput
from setsolver.usecases.scan import scan
from setsolver.usecases.snapshot import snapshot
from tests.catalog import fakes
from tests.catalog.pictures import save, scene
from tests.usecases.shoots import ROOT, shoot

CLUSTER = """
import sys
from dask.distributed import LocalCluster
if __name__ == "__main__":
    with LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None) as cluster:
        print(cluster.scheduler_address, flush=True)
        sys.stdin.read()
"""


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    """Start a scheduler and two worker processes as somebody else would, and return where they answer."""
    pytest.importorskip("distributed", reason="the extra 'cluster' is not installed")
    script = tmp_path_factory.mktemp("cluster") / "cluster.py"
    script.write_text(CLUSTER)
    process = subprocess.Popen(
        [sys.executable, str(script)], cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    try:
        yield process.stdout.readline().strip()
    finally:
        process.communicate(input="", timeout=60)


@pytest.mark.slow
def test_a_cluster_finds_what_this_machine_finds(tmp_path, address):
    here, there = shoot(tmp_path / "here", 9), shoot(tmp_path / "there", 9)
    (there / "text.jpg").write_bytes(b"no picture")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # distributed and its asyncio loop warn of their own deprecations
        report = scan(there, factory=fakes.measurer, cluster=address)
    scan(here, factory=fakes.measurer, workers=0)
    assert (report.new, [out.path for out in report.refused]) == (9, ["text.jpg"])
    one, two = snapshot(here).frames, snapshot(there).frames
    assert [(a.path, a.measures.phash, a.measures.tone) for a in one] == [
        (b.path, b.measures.phash, b.measures.tone) for b in two
    ]


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
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with pytest.raises(BadInput, match=r"no Dask scheduler answers at 'tcp://127\.0\.0\.1:1'"):
            scan(tmp_path, factory=fakes.measurer, cluster="tcp://127.0.0.1:1")

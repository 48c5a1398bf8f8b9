"""What a worker keeps to: time and memory for each file."""

import subprocess
import sys

import numpy as np
import pytest

from setsolver.catalog import limits
from setsolver.usecases.guards import OUT_OF_TIME
from tests.catalog import fakes
from tests.catalog.pictures import save, scene
from tests.usecases.shoots import run, shoot

SPIN = """
import sys
from setsolver.usecases.guards import timed
with timed(0.05):
    pass
sum(range(3_000_000))
print("in time", flush=True)
with timed(0.2):
    while True:
        pass
"""
GREEDY = """
import numpy as np
from setsolver.usecases.guards import limit_memory
limit_memory()
np.ones(300_000_000, np.uint8)
print("enough", flush=True)
try:
    np.ones(2_000_000_000, np.uint8)
except MemoryError:
    print("no more", flush=True)
"""


@pytest.mark.skipif(OUT_OF_TIME is None, reason="this system has no timer that ends a process")
def test_a_process_ends_where_a_file_takes_too_long_and_only_there():
    ended = subprocess.run([sys.executable, "-c", SPIN], check=False, capture_output=True, text=True, timeout=120)
    assert (ended.stdout, ended.returncode) == ("in time\n", OUT_OF_TIME)


@pytest.mark.skipif(sys.platform != "linux", reason="no other system counts a process's own memory (RLIMIT_DATA)")
def test_a_process_gets_no_more_memory_than_a_file_may_take():
    done = subprocess.run([sys.executable, "-c", GREEDY], check=True, capture_output=True, text=True, timeout=120)
    assert done.stdout == "enough\nno more\n"


@pytest.mark.skipif(OUT_OF_TIME is None, reason="this system has no timer that ends a process")
def test_a_frame_that_takes_for_ever_is_refused_and_the_rest_is_kept(tmp_path, monkeypatch):
    monkeypatch.setenv(limits.TIME_VARIABLE, "1")
    shoot(tmp_path, 5)
    endless = scene(64, 48)
    endless[0, 0] = fakes.ENDLESS
    save(tmp_path / "frame-002.png", endless)
    report = run(tmp_path, workers=2)
    assert [(out.path, out.why.partition(";")[0]) for out in report.refused] == [
        ("frame-002.png", "it takes longer than the 1 s that one file may take")
    ]
    assert report.new == 4


@pytest.mark.skipif(sys.platform != "linux", reason="no other system counts a process's own memory (RLIMIT_DATA)")
def test_a_frame_that_takes_all_memory_is_refused_and_the_rest_is_kept(tmp_path):
    shoot(tmp_path, 3)
    greedy = scene(64, 48)
    greedy[0, 0] = fakes.GREEDY
    save(tmp_path / "frame-001.png", greedy)
    report = run(tmp_path, workers=1)
    assert [(out.path, "memory" in out.why.lower()) for out in report.refused] == [("frame-001.png", True)]
    assert report.new == 2
    assert np.isfinite(report.seconds)

"""Many jobs: none ends the others, none is done twice, and one that kills its worker is named."""

import os
import subprocess
import sys
import time
from concurrent.futures import Future
from pathlib import Path
from typing import ClassVar

import pytest
from joblib.externals.loky.process_executor import BrokenProcessPool

from setsolver.errors import BadInput
from setsolver.usecases import many, measuring
from setsolver.usecases.many import DIED, run_many


def work(job):
    folder, number = job
    (Path(folder) / f"{number}-{os.getpid()}-{len(list(Path(folder).iterdir()))}").touch()
    if number == 3:
        raise BadInput("three is refused")
    if number == 5:
        os._exit(9)
    return number * number


@pytest.mark.parametrize("workers", [0, 2])
def test_each_job_has_its_answer(tmp_path, workers):
    jobs = [(str(tmp_path), number) for number in range(8) if number != 5]
    answers = {answer.job[1]: answer for answer in run_many(work, iter(jobs), workers=workers)}
    assert {number: answer.result for number, answer in answers.items() if number != 3} == {
        number: number * number for number in (0, 1, 2, 4, 6, 7)
    }
    assert (answers[3].result, answers[3].why) == (None, "three is refused")
    assert len(list(tmp_path.iterdir())) == 7


def test_a_job_that_kills_its_worker_is_named_and_the_others_are_done(tmp_path):
    jobs = [(str(tmp_path), number) for number in range(8)]
    answers = {answer.job[1]: answer for answer in run_many(work, iter(jobs), workers=2)}
    assert set(answers) == set(range(8))
    assert answers[5].why == DIED
    assert all(answers[number].result == number * number for number in (0, 1, 2, 4, 6, 7))


class Breaking:
    """A pool that does each job at once, and is found broken when it is handed the one so many jobs in."""

    left: ClassVar[list[int]] = []

    def __init__(self, workers, **_):
        self.until = self.left.pop(0) if self.left else None

    def submit(self, work, *given):
        """Return a future of what is done already."""
        if self.until == 0:
            raise BrokenProcessPool
        self.until = None if self.until is None else self.until - 1
        future = Future()
        future.set_result(work(*given))
        return future


@pytest.mark.parametrize("handed", range(6))
def test_a_job_that_is_handed_to_a_pool_that_has_just_died_is_not_lost(monkeypatch, handed):
    """A worker may die between two jobs: what is handed over then is tried again like what was in flight."""
    monkeypatch.setattr(Breaking, "left", [handed])
    monkeypatch.setattr(many, "ProcessPoolExecutor", Breaking)
    monkeypatch.setattr(measuring, "end_pool", lambda pool, *, at_once: None)
    answers = list(run_many(abs, iter(range(-6, 0)), workers=2))
    assert sorted((answer.job, answer.result) for answer in answers) == [(-n, n) for n in (6, 5, 4, 3, 2, 1)]


def test_a_job_that_a_dead_pool_takes_no_more_is_not_blamed_for_its_death(monkeypatch):
    """Alone with its pool, too: that died after the job before. One whose pools die at once is given up in the end."""
    monkeypatch.setattr(many, "ProcessPoolExecutor", Breaking)
    monkeypatch.setattr(measuring, "end_pool", lambda pool, *, at_once: None)
    monkeypatch.setattr(Breaking, "left", [0, 0, 0, 9, 1])  # three are handed back, then one alone with its pool is
    answers = run_many(abs, iter([-1, -2, -3]), workers=2)
    assert sorted((answer.job, answer.why) for answer in answers) == [(-3, ""), (-2, ""), (-1, "")]
    monkeypatch.setattr(Breaking, "left", [0] * 9)
    assert {answer.why for answer in run_many(abs, iter([-1, -2, -3]), workers=2)} == {DIED}


CLIENT = """
import sys
from tests.usecases.test_many import slow
from setsolver.usecases.many import run_many
for answer in run_many(slow, [(sys.argv[1], n) for n in range(40)], workers=2):
    print(answer.why, flush=True)
"""


def slow(job):
    """Leave a mark named by this process, then work for half a second."""
    folder, number = job
    (Path(folder) / f"{os.getpid()}-{number}").touch()
    time.sleep(0.5)
    return number


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="looks for processes where Linux lists them")
def test_no_worker_goes_on_once_the_client_is_killed(tmp_path):
    client = subprocess.Popen([sys.executable, "-c", CLIENT, tmp_path], stdout=subprocess.PIPE)
    assert client.stdout is not None
    client.stdout.readline()  # work is under way
    client.kill()
    client.wait()
    client.stdout.close()
    workers = {int(file.name.split("-")[0]) for file in tmp_path.iterdir()}
    until = time.monotonic() + 60
    while time.monotonic() < until and any(Path(f"/proc/{worker}").exists() for worker in workers):
        time.sleep(0.2)
    assert workers
    assert not any(Path(f"/proc/{worker}").exists() for worker in workers)
    assert len(list(tmp_path.iterdir())) < 40

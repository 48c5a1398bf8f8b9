"""Many jobs: none ends the others, none is done twice, and one that kills its worker is named."""

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from setsolver.errors import BadInput
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

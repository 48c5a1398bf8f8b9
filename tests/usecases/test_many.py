"""Many jobs: none ends the others, none is done twice, and one that kills its worker is named."""

import os
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

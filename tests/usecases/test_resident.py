"""One worker that stays: what it loads it loads once, and a file that ends it is refused."""

import os
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from setsolver.catalog.limits import TIME_VARIABLE
from setsolver.catalog.listing import listed_at
from setsolver.catalog.records import RefusedRow
from setsolver.usecases.resident import Resident
from setsolver.usecases.tasks import VERSION, Task
from tests.catalog import fakes
from tests.catalog.pictures import save, scene


def numbered():
    """Return a measuring that tells the process in which it runs by its quality."""
    return lambda rgb, known=None, due=(): replace(fakes.measure(rgb), quality=float(os.getpid()))


def task(folder, name="jar.png", pixels=None, turn=0):
    save(folder / name, scene(64, 48) if pixels is None else pixels)
    return Task(listed_at(folder, name), VERSION, turn=turn).whole()


@pytest.fixture
def resident():
    made = []

    def make(factory):
        made.append(Resident(factory))
        return made[-1]

    yield make
    for one in made:
        one.end()


def test_files_are_measured_in_one_other_process_turned(tmp_path, resident):
    worker = resident(numbered)
    rows = [worker.measure(task(tmp_path, turn=turn)) for turn in (0, 90)]
    assert [(row.width, row.height) for row in rows] == [(64, 48), (48, 64)]
    pids = {row.measures.quality for row in rows}
    assert len(pids) == 1
    assert pids != {float(os.getpid())}


def test_a_file_that_ends_the_worker_is_refused_and_the_next_gets_another(tmp_path, resident):
    worker = resident(fakes.measurer)
    bomb = np.zeros((48, 64, 3), np.uint8)
    bomb[0, 0] = fakes.KILLER
    row = worker.measure(task(tmp_path, "bomb.png", bomb))
    assert isinstance(row, RefusedRow)
    assert "crashes" in row.why
    assert worker.measure(task(tmp_path)).measures is not None


def test_a_file_that_takes_too_long_is_refused(tmp_path, resident, monkeypatch):
    monkeypatch.setenv(TIME_VARIABLE, "1")
    worker = resident(fakes.measurer)
    endless = np.zeros((48, 64, 3), np.uint8)
    endless[0, 0] = fakes.ENDLESS
    row = worker.measure(task(tmp_path, "endless.png", endless))
    assert isinstance(row, RefusedRow)
    assert "longer than the 1 s" in row.why


def test_what_cannot_be_loaded_is_told_each_time(tmp_path, resident):
    worker = resident(fakes.missing_measurer)
    for _ in range(2):
        with pytest.raises(ModuleNotFoundError, match="not_on_workers"):
            worker.measure(task(tmp_path))


def test_a_worker_that_was_begun_measures_with_what_it_has_loaded(tmp_path, resident):
    worker = resident(numbered)
    worker.begin()
    worker.begin()  # again is no other
    (process,) = worker._pool._processes
    assert worker.measure(task(tmp_path)).measures.quality == float(process)
    assert worker.measure(task(tmp_path, turn=90)).measures.quality == float(process)


def dying():
    """End the worker at once, the first time; what came before is told by a file."""
    seen = Path(os.environ["SETSOLVER_TEST_SEEN"])
    if not seen.exists():
        seen.touch()
        os._exit(1)
    return fakes.measure


def test_a_worker_that_ends_while_it_loads_is_no_fault_of_the_file(tmp_path, resident, monkeypatch):
    monkeypatch.setenv("SETSOLVER_TEST_SEEN", str(tmp_path / "seen"))
    worker = resident(dying)
    worker.begin()
    assert worker.measure(task(tmp_path)).measures is not None


def test_a_worker_that_was_begun_can_be_ended(tmp_path, resident):
    worker = resident(numbered)
    worker.begin()
    worker.end()
    assert worker.measure(task(tmp_path)).measures is not None

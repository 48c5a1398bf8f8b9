"""A turned frame alone is measured again, where its file is as it was; the index holds it, and grouping is due."""

from dataclasses import fields

import numpy as np
import pytest

from setsolver.catalog.records import RefusedRow
from setsolver.errors import CatalogBusy
from setsolver.usecases import remeasure
from setsolver.usecases.frames import correct
from setsolver.usecases.index import open_index
from setsolver.usecases.measuring import measure_task
from setsolver.usecases.remeasure import remeasured
from tests.catalog import fakes
from tests.catalog.pictures import save, scene
from tests.usecases.shoots import run, shoot


class Here:
    """Measures in this process, and remembers what."""

    def __init__(self):
        self.asked, self.refuses = [], False

    def measure(self, task):
        """Return the row of a file."""
        self.asked.append((task.listed.path, task.turn))
        return RefusedRow(task.listed.path, None, "no") if self.refuses else measure_task(task, fakes.measurer())


@pytest.fixture
def here(monkeypatch):
    made = Here()
    monkeypatch.setattr(remeasure, "_resident", made)
    remeasure._recent.forget()
    return made


@pytest.fixture
def folder(tmp_path):
    run(shoot(tmp_path / "day", 4))
    return tmp_path / "day"


FRAME = "frame-001.png"


def test_a_turned_frame_alone_is_measured_and_kept(folder, here):
    correct(folder, {FRAME: {"turn": "90"}})
    found = remeasured(folder, [FRAME])
    assert here.asked == [(FRAME, 90)]
    assert list(found.frames) == [FRAME]
    frame = found.frames[FRAME]
    assert (frame.width, frame.height, frame.turn, frame.id) == (48, 64, 90, 0)
    with open_index(folder) as store:
        assert store.grouped() is None
        (kept,) = store.frames(FRAME)
        assert (kept.width, kept.height, kept.turn) == (48, 64, 90)
        assert store.known(FRAME).keys() == {FRAME}
        assert len(store.known()) == 4
    assert run(folder).unchanged == 4


def test_a_turn_taken_back_or_made_again_measures_nothing(folder, here):
    for turn in ("90", None, "90", "180", "90"):
        correct(folder, {FRAME: {"turn": turn}})
        assert remeasured(folder, [FRAME]).frames[FRAME].turn == (None if turn is None else int(turn))
    assert here.asked == [(FRAME, 90), (FRAME, 180)]


def test_a_turn_taken_back_leaves_the_index_as_it_was(folder, here):
    with open_index(folder) as store:
        (before,), known = store.frames(FRAME), store.known(FRAME)
    for turn in ("90", None):
        correct(folder, {FRAME: {"turn": turn}})
        remeasured(folder, [FRAME])
    with open_index(folder) as store:
        (after,) = store.frames(FRAME)
        assert store.known(FRAME) == known
    assert (after.shot, after.width, after.note, after.turn) == (before.shot, before.width, before.note, before.turn)
    for field in fields(before.measures):
        np.testing.assert_equal(getattr(after.measures, field.name), getattr(before.measures, field.name))


def test_that_it_is_right_as_it_is_measures_nothing(folder, here):
    correct(folder, {FRAME: {"turn": "0"}})
    assert remeasured(folder, [FRAME]).frames[FRAME].turn == 0
    assert here.asked == []


def test_a_file_that_changed_or_is_gone_is_for_a_scan(folder, here):
    correct(folder, {FRAME: {"turn": "90"}})
    save(folder / FRAME, scene(80, 60, seed=9))
    assert remeasured(folder, [FRAME]) is None
    (folder / FRAME).unlink()
    assert remeasured(folder, [FRAME]) is None
    assert here.asked == []


def test_a_file_that_is_refused_is_for_a_scan(folder, here):
    here.refuses = True
    correct(folder, {FRAME: {"turn": "90"}})
    assert remeasured(folder, [FRAME]) is None
    with open_index(folder) as store:
        assert store.turn_of(FRAME) == 0


def test_where_a_scan_is_running_it_is_said(folder, here):
    correct(folder, {FRAME: {"turn": "90"}})
    with open_index(folder) as store, store.scanning(), pytest.raises(CatalogBusy, match="another scan"):
        remeasured(folder, [FRAME])
    assert here.asked == []

"""A scan that an act of the board waits for: it says how far it is, and can be stopped."""

import pytest

from setsolver.errors import BadInput
from tests.catalog.pictures import save, scene
from tests.usecases.boards import TOKEN, act, open_board


@pytest.fixture
def board(tmp_path, monkeypatch):
    """A board with a turned print whose file is another one by now, which only a scan of the folder measures."""
    found = open_board(tmp_path)
    monkeypatch.setattr(found.settling, "begin", lambda: None)
    print_ = found.view()["set"]["prints"][0]
    act(found, do="turn", frame=print_["frame"])
    save(tmp_path / "pottery" / print_["path"], scene(400, 300, seed=5))
    return found


@pytest.fixture
def taken_back(tmp_path):
    """A board on which a turn can be taken back whose frame is another file by now."""
    found = open_board(tmp_path)
    print_ = found.view()["set"]["prints"][0]
    act(found, do="turn", frame=print_["frame"])
    found.settling.wait(60)
    save(tmp_path / "pottery" / print_["path"], scene(400, 300, seed=5))
    return found


def test_a_turn_that_is_taken_back_says_how_far_the_scan_is_that_it_needs(taken_back, monkeypatch):
    said, tell = [], taken_back.work.tell
    monkeypatch.setattr(taken_back.work, "tell", lambda says: (said.append(says), tell(says)))
    assert act(taken_back, do="undo")["said"].startswith("Taken back.")
    assert "The folder is scanned again, measuring: 1 of 1" in said


def test_a_turn_is_not_taken_back_where_the_scan_that_it_needs_is_stopped(taken_back, monkeypatch):
    before, told = taken_back.view(), taken_back.work.scan
    with monkeypatch.context() as patch:
        patch.setattr(taken_back.work, "scan", lambda *far: (told(*far), taken_back.stop(TOKEN)))
        with pytest.raises(BadInput, match="stopped before there was an answer"):
            act(taken_back, do="undo", token=TOKEN)
    now = taken_back.view()
    assert all(now[key] == before[key] for key in ("set", "revision", "undo", "redo"))
    assert act(taken_back, do="undo")["undo"] == before["undo"] - 1


def test_it_says_how_far_it_is(board, monkeypatch):
    said, tell = [], board.work.tell
    monkeypatch.setattr(board.work, "tell", lambda says: (said.append(says), tell(says)))
    act(board, do="take in")
    assert "The folder is scanned again, measuring: 1 of 1" in said
    assert any(says.startswith("The folder is scanned again, grouping: ") for says in said)
    assert board.view()["looking"] is None


@pytest.mark.parametrize("when", ["measuring", "grouping"])
def test_stopped_it_does_nothing_and_is_taken_up_again(board, monkeypatch, when):
    before, told = board.view(), board.work.scan

    def stopping(what, *far):
        told(what, *far)
        if what == when:
            board.stop(TOKEN)

    with monkeypatch.context() as patch:
        patch.setattr(board.work, "scan", stopping)
        with pytest.raises(BadInput, match="stopped before there was an answer"):
            act(board, do="take in", token=TOKEN)
    now = board.view()
    assert all(now[key] == before[key] for key in ("set", "revision", "undo", "looking"))
    assert act(board, do="take in")["said"].startswith("Taken in: 8 frames.")
    assert board.view()["looking"] is None

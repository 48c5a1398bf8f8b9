"""Work on a board: what is known is told while it goes on, and an act that is stopped changes nothing."""

import threading
import time
from contextlib import suppress

import pytest

from setsolver.errors import BadInput
from setsolver.usecases.board import asked, state
from tests.usecases.boards import TOKEN, act, frame_rows, open_board
from tests.usecases.turns import LONG, begun, ended, waits


@pytest.fixture
def board(tmp_path):
    return open_board(tmp_path)


def test_what_is_known_is_told_while_sets_are_sought(board, monkeypatch):
    print_, seeking = board.view()["set"]["prints"][0], threading.Event()
    real, sought = asked.answer_of, []

    def slow(session, alternates=0):
        sought.append(alternates)
        seeking.set()
        if len(sought) == 1:
            until = time.monotonic() + LONG
            while not session.effort.stop():
                assert time.monotonic() < until
                time.sleep(0.001)
        return real(session, alternates)

    monkeypatch.setattr(asked, "answer_of", slow)
    told = []
    threads = begun(lambda: told.append(board.alternates()))
    assert seeking.wait(LONG)
    assert len(frame_rows(board.frames())) == 8
    assert board.swaps(print_["frame"], proven=False)["swaps"]
    assert board.view()["set"]
    ended(threads)
    assert len(sought) > 1
    assert len(told[0]["sets"]) == 3


def test_nothing_is_said_to_be_worked_out_once_it_is(board):
    """What a search told as it went is of that search alone: pages would show it while they wait for another one."""
    assert board.work.says == ""
    told, real = [], board.work.tell

    def tell(says):
        real(says)
        told.append(board.work.says)

    board.work.tell = tell
    board.session.effort.tell("Looking")
    for ask in (
        lambda: act(board, do="weigh", term="appeal", points=3),
        lambda: act(board, do="undo"),
        board.alternates,
        board.prices,
        lambda: board.hear(""),
        lambda: act(board, do="weigh", term="nothing", points=3),
    ):
        board.work.tell("Looking")
        with suppress(BadInput):
            ask()
        assert board.work.says == ""
    assert "Looking" in told


def test_an_act_that_is_stopped_changes_nothing_and_what_was_half_found_is_not_kept(board, monkeypatch):
    weight = board.view()["weights"][0]
    term, points = weight["term"], weight["points"]
    act(board, do="weigh", term=term, points=points + 2)
    before, known = act(board, do="undo"), board.kept.brief_file.read_bytes()
    working = threading.Event()

    def slow(session, alternates=0):
        working.set()
        until = time.monotonic() + LONG
        while not session.effort.stop():
            assert time.monotonic() < until
            time.sleep(0.001)
        return session.outcome(alternates=alternates, repeats=False)

    told = []

    def weigh():
        try:
            act(board, do="weigh", term=term, points=points + 1, token=TOKEN)
        except BadInput as error:
            told.append(str(error))

    with monkeypatch.context() as patched:
        patched.setattr(state, "answer_of", slow)
        threads = begun(weigh)
        assert working.wait(LONG)
        board.stop(TOKEN)
        ended(threads)
    assert told == ["stopped before there was an answer; it has changed nothing"]
    assert board.view() == before
    assert board.kept.brief_file.read_bytes() == known
    assert before["redo"] == 1  # what was taken back before can still be done again
    after = act(board, do="weigh", term=term, points=points + 1)
    assert after["set"]["proven"]


def test_an_act_waits_for_one_proof_of_a_long_question_not_for_all(board):
    print_ = board.view()["set"]["prints"][0]
    proofs, go, real = [], threading.Event(), board.session.proven

    def proven(swap):
        proofs.append(swap.path)
        if len(proofs) == 1:
            assert go.wait(LONG)
            waits(board.lane, 1, 0)
        return real(swap)

    board.session.proven = proven
    told = []

    def ask():
        try:
            board.swaps(print_["frame"], proven=True)
        except BadInput as error:
            told.append(str(error))

    threads = begun(ask)
    go.set()
    act(board, do="bar", frame=print_["frame"])
    ended(threads)
    assert len(proofs) == 1
    assert told == ["the set has changed while this was asked; ask again of the new one"]

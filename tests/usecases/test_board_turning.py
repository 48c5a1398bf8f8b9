"""A turned frame is answered at once by what is known of it, said to be looked at still, then by what is measured."""

import threading
import time
from dataclasses import replace
from io import BytesIO
from unittest.mock import ANY

import numpy as np
import pytest
from PIL import Image

from setsolver.errors import BadInput, CatalogBusy
from setsolver.usecases.board import Board, settling
from setsolver.usecases.effort import Effort
from setsolver.usecases.index import open_index
from setsolver.usecases.scan import scan
from tests.usecases.boards import TOKEN, act, frame_rows, open_board

LONG = 120


class Held:
    """Lets networks be asked only once it is let go."""

    def __init__(self, monkeypatch):
        self.go, self.asked, self.real = threading.Event(), [], settling.measured_ahead
        monkeypatch.setattr(settling, "measured_ahead", self.ahead)

    def ahead(self, folder, path, turn):
        """Measure, but not before it is let go."""
        assert self.go.wait(LONG)
        self.asked.append((path, turn))
        self.real(folder, path, turn)


@pytest.fixture
def held(monkeypatch):
    found = Held(monkeypatch)
    yield found
    found.go.set()


@pytest.fixture
def board(tmp_path):
    found = open_board(tmp_path)
    yield found
    found.close()


def anew(board, tmp_path):
    """Return the set that a board tells of which nothing is warm."""
    other = Board(tmp_path / "pottery", str(tmp_path / "any-three.toml"), effort=Effort(60.0, workers=1))
    return other.view()["set"]


def test_the_set_stands_at_once_and_follows_what_is_measured(board, held, tmp_path):
    print_ = board.view()["set"]["prints"][0]
    view = act(board, do="turn", frame=print_["frame"])
    assert view["looking"] == f"Still looking: {print_['name']} is being measured as turned, and the set may change."
    assert view["said"].startswith(f"{print_['name']} is turned a quarter clockwise.")
    assert held.asked == []
    (row,) = [row for row in frame_rows(board.frames()) if row["frame"] == print_["frame"]]
    assert (row["turn"], row["ratio"]) == (90, pytest.approx(2 / 3, abs=1e-3))
    held.go.set()
    board.settling.wait(LONG)
    after = board.view()
    assert held.asked == [(print_["path"], 90)]
    assert after["revision"] > view["revision"]
    assert after["looking"] is None
    assert after["said"].startswith(f"Measured as turned: {print_['name']}.")
    assert (after["undo"], after["redo"]) == (1, 0)
    assert after["set"] == anew(board, tmp_path)


def test_a_turn_that_is_taken_back_before_it_is_measured_leaves_all_as_it_was(board, held, tmp_path):
    before = board.view()
    act(board, do="turn", frame=before["set"]["prints"][0]["frame"])
    view = act(board, do="undo")
    assert view["looking"] is None
    assert view["set"] == before["set"]
    held.go.set()
    board.settling.wait(LONG)
    assert board.view() == view
    assert act(board, do="redo")["looking"] is not None
    board.settling.wait(LONG)
    assert board.view()["set"] == anew(board, tmp_path)


def test_a_print_turned_upside_down_is_another_picture_even_where_it_is_cut_alike(board, held):
    print_ = board.view()["set"]["prints"][0]
    act(board, do="pin", frame=print_["frame"])
    act(board, do="turn", frame=print_["frame"])
    after = act(board, do="turn", frame=print_["frame"])
    (turned,) = [one for one in after["set"]["prints"] if one["frame"] == print_["frame"]]
    assert turned["crop"] == print_["crop"]
    assert turned["picture"] != print_["picture"]  # browsers keep what they were sent under a key
    was, is_ = (_pixels(board.print_jpeg(one["picture"], 240, corrected=False)) for one in (print_, turned))
    assert np.abs(was[::-1, ::-1] - is_).mean() < 2  # the old picture, upside down; JPEG loses a little
    assert np.abs(was - is_).mean() > 4
    held.go.set()


def test_the_key_of_a_picture_tells_how_its_frame_is_turned(board):
    frame = board.state.best.frames[0]
    whole = board.state.by_path[frame.path]
    keys = [board.pictures.show(frame, replace(whole, turn=turn)) for turn in (0, 90, 180, 270)]
    assert len({*keys}) == 4
    assert board.pictures.show(frame, replace(whole, turn=None)) == keys[0]


def _pixels(content):
    return np.asarray(Image.open(BytesIO(content)), dtype=float)


def test_a_frame_that_is_turned_on_is_measured_as_it_lies_in_the_end(board, held, tmp_path):
    key = board.view()["set"]["prints"][0]["frame"]
    for turn in (90, 180, 270):
        view = act(board, do="turn", frame=key)
        assert next(row["turn"] for row in frame_rows(board.frames()) if row["frame"] == key) == turn
    assert view["undo"] == 3
    held.go.set()
    board.settling.wait(LONG)
    assert board.view()["looking"] is None
    assert board.view()["set"] == anew(board, tmp_path)
    for turn in (180, 90, 0):
        act(board, do="undo")
        board.settling.wait(LONG)
        assert next(row["turn"] for row in frame_rows(board.frames()) if row["frame"] == key) == turn
    assert board.view()["set"] == anew(board, tmp_path)


def test_a_set_is_kept_by_name_once_it_is_measured_where_it_is_the_one_that_was_shown(board, held):
    print_ = board.view()["set"]["prints"][0]
    act(board, do="pin", frame=print_["frame"])
    view = act(board, do="turn", frame=print_["frame"])
    after = act(board, do="name", name="calm", revision=view["revision"])
    assert held.asked == []  # nobody waited for the thread beside
    assert after["looking"] is None
    assert [one["frame"] for one in after["set"]["prints"]] == [one["frame"] for one in view["set"]["prints"]]
    assert after["versions"][0]["name"] == "calm"


def test_where_another_set_hangs_once_it_is_measured_the_one_that_was_shown_is_not_kept(board, held, monkeypatch):
    key = board.view()["set"]["prints"][0]["frame"]
    shown = act(board, do="turn", frame=key)
    name, real = board.state.frame(key).path.rpartition("/")[2], board.state.answer
    with monkeypatch.context() as patch:
        patch.setattr(board.state, "answer", lambda: (board.session.bar(shown["set"]["prints"][1]["path"]), real()))
        with pytest.raises(BadInput) as refused:
            act(board, do="name", name="calm", revision=shown["revision"])
    assert str(refused.value) == f"{name} is measured as turned only now, and another set hangs: look at it first"
    assert board.view()["versions"] == []
    assert board.view()["looking"] is None


def test_no_prints_are_made_of_a_set_that_nobody_has_seen(board, held, monkeypatch):
    key = board.view()["set"]["prints"][0]["frame"]
    shown = act(board, do="turn", frame=key)
    real = board.state.answer
    with monkeypatch.context() as patch:
        patch.setattr(board.state, "answer", lambda: (board.session.bar(shown["set"]["prints"][1]["path"]), real()))
        with pytest.raises(BadInput, match="measured as turned only now, and another set hangs: look at it first"):
            act(board, do="finish", proof=True)
    assert board.view()["finish"] is None


def test_further_sets_that_were_shown_before_a_frame_is_measured_are_not_hung_after(board, held):
    key = board.view()["set"]["prints"][0]["frame"]
    act(board, do="turn", frame=key)
    shown, name = board.alternates(), board.state.frame(key).path.rpartition("/")[2]
    with pytest.raises(BadInput) as refused:
        act(board, do="keep", number=2, revision=shown["revision"])
    assert str(refused.value) == (
        f"{name} is measured as turned only now, and the next best sets may be others: look at them again"
    )
    act(board, do="keep", number=2, revision=board.alternates()["revision"])


def test_a_frame_whose_file_went_after_it_was_turned_and_pinned_blocks_nobody(board, held, tmp_path):
    print_ = board.view()["set"]["prints"][0]
    act(board, do="pin", frame=print_["frame"])
    act(board, do="rate", frame=print_["frame"], stars=4)
    act(board, do="turn", frame=print_["frame"])
    (tmp_path / "pottery" / print_["path"]).unlink()
    held.go.set()
    board.settling.wait(LONG)
    view = board.view()
    assert view["said"].startswith(
        f"Taken in: 7 frames. {print_['name']} is gone; what was wished of it is dropped. {print_['name']} leaves"
    )
    assert (view["looking"], view["rescanned"], view["pinned"]) == (None, None, [])
    assert len(frame_rows(board.frames())) == 7
    while act(board, do="undo")["undo"]:
        pass
    assert act(board, do="weigh", term="appeal", points=3)["set"] is not None


def test_an_act_that_waits_for_such_a_frame_is_done_without_it(board, held, tmp_path):
    print_ = board.view()["set"]["prints"][0]
    act(board, do="pin", frame=print_["frame"])
    act(board, do="turn", frame=print_["frame"])
    (tmp_path / "pottery" / print_["path"]).unlink()
    assert act(board, do="take in")["said"].startswith("Taken in: 7 frames.")
    assert board.view()["pinned"] == []


def test_where_the_catalog_is_gone_meanwhile_it_is_said_and_tried_again(board, held, tmp_path):
    key = board.view()["set"]["prints"][0]["frame"]
    act(board, do="turn", frame=key)
    gone = (tmp_path / "pottery").rename(tmp_path / "elsewhere")
    held.go.set()
    until = time.monotonic() + LONG
    while not board.state.said.startswith("What was turned cannot be measured yet: "):
        assert time.monotonic() < until
        time.sleep(0.01)
    assert "does not exist" in board.state.said
    gone.rename(tmp_path / "pottery")
    board.settling.wait(LONG)
    assert board.view()["looking"] is None
    assert board.view()["said"].startswith("Measured as turned: ")


def test_what_was_not_measured_when_the_board_ended_is_measured_by_the_next_start(board, held, tmp_path):
    key = board.view()["set"]["prints"][0]["frame"]
    act(board, do="turn", frame=key)
    assert scan(tmp_path / "pottery", workers=0).changed == 1
    other = Board(tmp_path / "pottery", str(tmp_path / "any-three.toml"), effort=Effort(60.0, workers=1))
    assert other.view()["looking"] is None
    assert next(row["turn"] for row in frame_rows(other.frames()) if row["frame"] == key) == 90
    other.close()


def test_a_turn_that_is_not_measured_yet_can_be_taken_back_while_a_scan_runs(board, held, tmp_path):
    before = board.view()
    act(board, do="turn", frame=before["set"]["prints"][0]["frame"])
    with open_index(tmp_path / "pottery") as store, store.scanning():
        view = act(board, do="undo")
    assert (view["looking"], view["undo"], view["redo"], view["set"]) == (None, 0, 1, before["set"])


def test_a_turn_that_is_stopped_while_a_scan_runs_leaves_all_as_it_was(board, held, tmp_path, monkeypatch):
    before, key = board.view(), board.view()["set"]["prints"][0]["frame"]
    answer = board.state.answer
    with monkeypatch.context() as patch, open_index(tmp_path / "pottery") as store, store.scanning():
        patch.setattr(board.state, "answer", lambda: (answer(), board.stop(TOKEN)))
        told = store.corrections()
        with pytest.raises(BadInput, match="stopped before there was an answer; it has changed nothing"):
            act(board, do="turn", frame=key, token=TOKEN)
        assert store.corrections() == told
    assert board.view() == before
    assert act(board, do="undo")["said"] == "There is nothing to take back."


@pytest.mark.parametrize(
    "what",
    [
        {"do": "finish"},
        {"do": "album", "brief": "story-album"},
        {"do": "name", "name": "calm"},
        {"do": "keep", "number": 2},
        {"do": "take in"},
    ],
    ids=lambda what: what["do"],
)
def test_an_act_that_is_stopped_while_what_was_turned_is_settled_does_nothing(board, held, monkeypatch, what):
    """The cut-short set never hangs, and nothing begins: neither prints nor a book, a version or a choice."""
    key = board.view()["set"]["prints"][0]["frame"]
    act(board, do="turn", frame=key)
    told = board.alternates()
    before, answer = board.view(), board.state.answer
    given = what | ({"revision": told["revision"]} if what["do"] in ("name", "keep") else {})
    with monkeypatch.context() as patch:
        patch.setattr(board.state, "answer", lambda: (answer(), board.stop(TOKEN)))
        with pytest.raises(BadInput, match="stopped before there was an answer; it has changed nothing"):
            act(board, **given, token=TOKEN)
    assert board.view() == before
    assert (before["looking"], before["finish"], before["versions"]) == (ANY, None, [])
    assert not board.kept.choices.file.exists()
    assert act(board, do="undo")["undo"] == 0
    assert act(board, do="redo")["undo"] == 1
    held.go.set()
    board.settling.wait(LONG)
    assert board.view()["looking"] is None
    assert board.view()["said"].startswith("Measured as turned: ")


def test_where_a_turn_cannot_even_be_withdrawn_the_choice_before_it_stays(board, held, monkeypatch):
    """Each step takes back its own choice and no other, whatever failed."""
    act(board, do="keep", number=2, revision=board.alternates()["revision"])
    chosen = board.kept.choices.file.read_text(encoding="utf-8")
    before, answer = board.view(), board.state.answer
    with monkeypatch.context() as patch:
        patch.setattr(board.state, "answer", lambda: (answer(), board.stop(TOKEN)))
        patch.setattr(board.session, "withdraw", _refuse)
        with pytest.raises(CatalogBusy):
            act(board, do="turn", frame=before["set"]["prints"][0]["frame"], token=TOKEN)
    after = board.view()
    assert after["undo"] == before["undo"] + 1
    assert [it["path"] for it in after["set"]["prints"]] == [it["path"] for it in before["set"]["prints"]]
    assert act(board, do="undo")["undo"] == before["undo"]
    assert board.kept.choices.file.read_text(encoding="utf-8") == chosen


def _refuse():
    raise CatalogBusy("another scan is running")

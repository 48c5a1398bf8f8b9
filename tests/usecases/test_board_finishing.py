"""Prints made from a board: told as they go, stopped, taken up again, never over anything."""

import os
import threading
import time
from pathlib import Path

import pytest

from setsolver.errors import BadInput
from setsolver.usecases import finish as prints
from setsolver.usecases.board import finishing
from setsolver.usecases.finish_folder import load_finish
from tests.usecases.boards import act, make_folder, open_board


@pytest.fixture
def board(tmp_path):
    board = open_board(tmp_path, out=tmp_path / "prints")
    yield board
    board.finishing.end()


def ended(board, seconds=240):
    """Return how the job ended."""
    until = time.monotonic() + seconds
    while board.view()["finish"]["state"] == "running":
        assert time.monotonic() < until
        time.sleep(0.02)
    return board.view()["finish"]


def test_the_set_on_the_wall_is_printed_and_measured(board, tmp_path):
    before = board.stamp()
    act(board, do="finish", format="jpeg", ppi=60)
    job = ended(board)
    assert (job["state"], job["done"], job["total"]) == ("done", 3, 3)
    assert job["says"].startswith("3 prints made and measured.")
    assert board.stamp() > before
    made = load_finish(Path(job["folder"]))
    assert Path(job["folder"]).parent == tmp_path / "prints"
    assert [print_.source for print_ in made.prints] == [one["path"] for one in board.view()["set"]["prints"]]
    assert made.complete


def test_a_job_is_stopped_whole_prints_stay_and_the_same_one_goes_on_in_its_folder(board, monkeypatch):
    real = finishing.finish

    def slowly(*given, progress, stop, **named):
        def told(what, done, total):
            progress(what, done, total)
            if done == 1:
                stop.set()

        return real(*given, progress=told, stop=stop, workers=1, **named)

    with monkeypatch.context() as patched:
        patched.setattr(finishing, "finish", slowly)
        act(board, do="finish", format="jpeg", ppi=60)
        first = ended(board)
    assert first["state"] == "stopped"
    made = load_finish(Path(first["folder"]))
    assert not made.complete
    assert 1 <= len(made.prints) < 3
    act(board, do="finish", format="jpeg", ppi=60)
    second = ended(board)
    assert (second["state"], second["folder"]) == ("done", first["folder"])
    act(board, do="bar", frame=board.view()["set"]["prints"][0]["frame"])
    act(board, do="finish", format="jpeg", ppi=60)
    assert ended(board)["folder"] != first["folder"]


def test_one_job_at_a_time_and_none_without_a_set(board, monkeypatch):
    monkeypatch.setattr(finishing, "finish", lambda *_, stop, **__: stop.wait(30))
    monkeypatch.setattr(finishing, "_said", lambda *_, **__: "ended")
    act(board, do="finish")
    with pytest.raises(BadInput, match="stop that first"):
        act(board, do="finish")
    act(board, do="weigh", term="appeal", points=30)  # the board goes on meanwhile
    assert "Stopping" in act(board, do="stop finish")["said"]
    assert ended(board)["state"] == "stopped"
    assert act(board, do="stop finish")["said"] == "Nothing is being made."


def test_a_frame_that_crashes_its_decoder_fails_one_print_and_not_the_board(board, monkeypatch):
    real, bad = prints.packet_for, board.view()["set"]["prints"][1]["path"]

    def packet_for(about, *given):
        packet, kills = real(about, *given), about.file.name == Path(bad).name

        def or_not(record):
            if kills:
                os.kill(os.getpid(), 9)
            return packet(record)

        return or_not

    monkeypatch.setattr(prints, "packet_for", packet_for)
    act(board, do="finish", format="jpeg", ppi=60)
    job = ended(board)
    assert job["state"] == "done"
    assert job["says"].startswith("2 prints made and measured.")
    assert f"{bad} was not printed: it crashes the decoder" in job["says"]
    made = load_finish(Path(job["folder"]))
    assert [one.source for one in made.refused] == [bad]
    assert "said" in act(board, do="pin", frame=board.view()["set"]["prints"][0]["frame"])  # the board goes on


def test_an_original_that_is_gone_or_a_folder_that_cannot_be_is_said(tmp_path):
    folder = make_folder(tmp_path)
    board = open_board(tmp_path, out=folder / "prints")
    act(board, do="finish", format="jpeg", ppi=60)
    job = ended(board)
    assert job["state"] == "failed"
    assert "lies in the catalog" in job["says"]
    board = open_board(tmp_path, out=tmp_path / "out")
    (folder / board.view()["set"]["prints"][0]["path"]).unlink()
    act(board, do="finish", format="jpeg", ppi=60)
    assert "its original is gone" in ended(board)["says"]


def test_a_book_is_made_of_the_shoot_with_what_is_pinned(tmp_path):
    board = open_board(tmp_path, out=tmp_path / "books")
    key = board.view()["set"]["prints"][0]["frame"]
    act(board, do="pin", frame=key)
    assert "story-album" in board.view()["albums"]
    with pytest.raises(BadInput, match="album"):
        act(board, do="album", brief="wall-three")
    act(board, do="album", brief="story-album")
    job = ended(board)
    # eight frames make no book of twelve spreads: that is said, with why, and nothing is written
    assert job["state"] == "failed"
    assert job["says"].startswith("no book under these rules: ")
    assert job["folder"] == ""
    assert not (tmp_path / "books").exists()


def test_a_book_is_stopped(board, monkeypatch):
    monkeypatch.setattr(finishing, "make_album", lambda _snapshot, _brief, effort, _change, keep: until(effort.stop))
    act(board, do="album", brief="story-album")
    assert board.view()["finish"]["state"] == "running"
    act(board, do="stop finish")
    job = ended(board)
    assert (job["state"], job["says"], job["folder"]) == ("stopped", "Stopped before anything was written.", "")


def test_how_good_the_book_so_far_is_is_said_while_it_is_sought(board, monkeypatch):
    sought = threading.Event()

    def seek(_snapshot, _brief, effort, _change, keep):
        effort.progress(120.0, 131.5)
        sought.set()
        until(effort.stop)

    monkeypatch.setattr(finishing, "make_album", seek)
    before = board.stamp()
    act(board, do="album", brief="story-album")
    assert sought.wait(60)
    assert board.view()["finish"]["says"] == "The best book so far has 120.0 points; none has more than 131.5"
    assert board.stamp() > before
    act(board, do="stop finish")
    assert ended(board)["state"] == "stopped"


def until(stop):
    while not stop():
        time.sleep(0.01)

"""A catalog that is scanned again, or loses frames, while a board has it open: it is said, and taken in when wanted."""

import shutil
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from setsolver.errors import BadInput, SetsolverError
from setsolver.usecases import snapshot as snapshot_module
from setsolver.usecases.board import board as board_module
from setsolver.usecases.frames import correct
from setsolver.usecases.scan import scan
from tests.catalog.pictures import save, scene
from tests.usecases.boards import act, frame_rows, make_folder, open_board


@pytest.fixture
def board(tmp_path):
    return open_board(tmp_path)


def paths(board):
    return {row["path"] for row in frame_rows(board.frames())}


def test_what_the_board_does_itself_is_no_other_scan(board):
    key = board.view()["set"]["prints"][0]["frame"]
    for what in ({"do": "rate", "frame": key, "stars": 4}, {"do": "turn", "frame": key}, {"do": "undo"}):
        assert act(board, **what)["rescanned"] is None


def test_new_changed_and_gone_frames_are_said_and_taken_in(board, tmp_path):
    folder = tmp_path / "pottery"
    before = board.view()
    hung = [one["path"] for one in before["set"]["prints"]]
    act(board, do="pin", frame=before["set"]["prints"][0]["frame"])
    act(board, do="rate", frame=before["set"]["prints"][0]["frame"], stars=5)
    pinned = board.view()["pinned"]
    (folder / hung[0]).unlink()
    shutil.copy(folder / "evening/0004.jpg", folder / "evening/0009.jpg")
    save(folder / "morning/0002.jpg", scene(400, 300, seed=5))
    scan(folder, workers=0)
    told = board.rescanned()["rescanned"]
    assert told == board.view()["rescanned"]
    assert told == "The catalog was scanned again: 1 frame new, 1 frame gone, 1 frame changed."
    assert board.view()["pinned"] == pinned  # nothing changes by itself
    correct(folder, {"evening/0009.jpg": {"kind": "photograph"}})
    after = act(board, do="take in")
    assert after["rescanned"] is None
    assert after["pinned"] == []
    assert after["said"].startswith(
        f"Taken in: 8 frames. {hung[0].rpartition('/')[2]} is gone; what was wished of it is"
    )
    assert paths(board) == {
        str(file.relative_to(folder).as_posix()) for file in folder.rglob("*.jpg") if ".setsolver" not in file.parts
    }
    assert len(after["set"]["prints"]) == 3
    while act(board, do="undo")["undo"]:  # to the first change, whatever it named
        pass
    assert board.view()["redo"] == 2


def test_a_file_in_place_of_another_is_another_picture_everywhere(board, tmp_path):
    """Browsers keep pictures for ever under their key, and so does the board: the key must be of the content."""
    folder, print_ = tmp_path / "pottery", board.view()["set"]["prints"][0]
    act(board, do="pin", frame=print_["frame"])
    row = next(row for row in frame_rows(board.frames()) if row["frame"] == print_["frame"])
    before = board.print_jpeg(print_["picture"], 240, corrected=False), board.frame_jpeg(row["frame"], 240)
    with Image.open(folder / print_["path"]) as picture:
        mirrored = picture.transpose(Image.Transpose.FLIP_LEFT_RIGHT)
        mirrored.save(folder / print_["path"], quality=95, exif=picture.getexif())
    scan(folder, workers=0)
    after = act(board, do="take in")
    (now,) = [one for one in after["set"]["prints"] if one["frame"] == print_["frame"]]
    same = next(one for one in frame_rows(board.frames()) if one["frame"] == print_["frame"])
    assert now["picture"] != print_["picture"]
    assert same["picture"] != row["picture"]
    pictures = board.print_jpeg(now["picture"], 240, corrected=False), board.frame_jpeg(row["frame"], 240)
    for was, is_ in zip(before, pictures, strict=True):
        assert np.abs(_pixels(was) - _pixels(is_)).mean() > 4
    others = [one for one in frame_rows(board.frames()) if one["frame"] != print_["frame"]]
    assert len({one["picture"] for one in others}) == 7  # each of its file


def _pixels(content):
    return np.asarray(Image.open(BytesIO(content)).resize((60, 60)), dtype=float)


def test_a_catalog_that_has_too_few_left_is_said_and_the_board_goes_on(board, tmp_path):
    folder = tmp_path / "pottery"
    before = board.view()
    for file in sorted(folder.rglob("*.jpg"))[2:]:
        file.unlink()
    scan(folder, workers=0)
    assert "6 frames gone" in board.rescanned()["rescanned"]
    with pytest.raises(SetsolverError, match="size = 3"):
        act(board, do="take in")
    assert board.view()["set"] == before["set"]
    assert act(board, do="weigh", term="appeal", points=3)["undo"] == 1


def drops(monkeypatch, module, folder):
    """Let a file go and another scan end right after the catalog was read; return the list to which that is told."""
    there, done = module.snapshot, []

    def read(*given):
        found = there(*given)
        if not done:
            done.append(min(folder.rglob("*.jpg")))
            done[0].unlink()
            scan(folder, workers=0)
        return found

    monkeypatch.setattr(module, "snapshot", read)
    return done


def test_a_scan_that_ends_while_the_board_opens_is_said(tmp_path, monkeypatch):
    done = drops(monkeypatch, board_module, make_folder(tmp_path))
    board = open_board(tmp_path)
    assert done
    assert len(paths(board)) == 8
    assert "1 frame gone" in board.rescanned()["rescanned"]


def test_a_scan_that_ends_while_the_catalog_is_taken_in_is_said(board, tmp_path, monkeypatch):
    folder = tmp_path / "pottery"
    shutil.copy(folder / "evening/0004.jpg", folder / "evening/0009.jpg")
    scan(folder, workers=0)
    done = drops(monkeypatch, snapshot_module, folder)
    after = act(board, do="take in")
    assert done
    assert after["said"].startswith("Taken in: 9 frames.")
    assert "1 frame gone" in after["rescanned"]


def test_a_catalog_that_is_gone_can_not_be_taken_in(board, tmp_path):
    folder = tmp_path / "pottery"
    gone = folder.rename(tmp_path / "elsewhere")
    before = board.view()
    assert board.rescanned()["rescanned"] is None
    with pytest.raises(BadInput, match="does not exist"):
        act(board, do="take in")
    assert board.view() == before
    gone.rename(folder)
    assert act(board, do="take in")["said"].startswith("Taken in: 8 frames.")


def test_a_board_opens_although_what_it_had_pinned_left_the_catalog(board, tmp_path):
    print_ = board.view()["set"]["prints"][0]
    act(board, do="pin", frame=print_["frame"])
    board.close()
    (tmp_path / "pottery" / print_["path"]).unlink()
    scan(tmp_path / "pottery", workers=0)
    again = open_board(tmp_path).view()
    assert again["pinned"] == []
    assert again["said"] == f"Here is where you left off. {print_['name']} is gone; what was wished of it is dropped."

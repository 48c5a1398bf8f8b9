"""The board: each act answers as the session does, is kept at once, and is said in a sentence that is true."""

import json
import re
import tomllib

import pytest

from setsolver.api import Catalog
from setsolver.errors import BadBrief, BadInput, NoSuchFrame
from setsolver.usecases.board.acts import read_act
from setsolver.usecases.board.rows import key_of
from tests.usecases.boards import act, corrections, frame_rows, hung, open_board


@pytest.fixture
def board(tmp_path):
    return open_board(tmp_path)


def test_the_view_adds_up_and_shows_the_plan(board):
    view = board.view()
    found = view["set"]
    assert len(found["prints"]) == 3
    assert sum(found["account"].values()) == pytest.approx(found["score"])
    assert sum(weight["now"] for weight in view["weights"]) == pytest.approx(found["score"])
    assert found["proven"]
    assert found["proof"].startswith("Proven")
    # a row of three prints 20 cm wide, 6 cm apart (the brief's default gap): 3 * 20 + 2 * 6
    assert found["plan"]["width"] == pytest.approx(72)
    assert [round(print_["box"][0]) for print_ in found["prints"]] == [0, 26, 52]
    assert json.loads(json.dumps(view)) == view


def test_the_tray_holds_every_frame_by_a_key_that_says_no_path(board):
    rows = frame_rows(board.frames())
    assert {row["frame"] for row in rows} == {key_of(frame.path) for frame in board.session.snapshot.frames}
    assert all(re.fullmatch("[0-9a-f]{16}", row["frame"]) for row in rows)


def test_pin_bar_and_free_are_wishes_of_the_working_copy(board):
    view = board.view()
    out, other = (
        view["set"]["prints"][0],
        next(row for row in frame_rows(board.frames()) if row["path"] not in hung(view)),
    )
    after = act(board, do="bar", frame=out["frame"])
    assert out["path"] not in hung(after)
    assert after["barred"] == [out["frame"]]
    after = act(board, do="pin", frame=other["frame"])
    assert other["frame"] in [print_["frame"] for print_ in after["set"]["prints"]]
    kept = tomllib.loads(board.kept.brief_file.read_text("utf-8"))["frames"]
    assert kept["exclude"] == [out["path"]]
    after = act(board, do="free", frame=out["frame"])
    assert (after["barred"], after["pinned"]) == ([], [other["frame"]])


def test_all_pins_are_freed_at_once_and_bars_stay(board):
    keys = [print_["frame"] for print_ in board.view()["set"]["prints"]]
    before = board.view()
    act(board, do="bar", frame=next(row["frame"] for row in frame_rows(board.frames()) if row["frame"] not in keys))
    pinned = act(board, do="pin many", frames=keys)
    assert sorted(pinned["pinned"]) == sorted(keys)
    freed = act(board, do="free all")
    assert freed["pinned"] == []
    assert freed["barred"] == pinned["barred"] != []
    assert freed["said"].startswith("No frame is pinned any more.")
    assert act(board, do="undo")["pinned"] == pinned["pinned"]
    assert before["pinned"] == []


def test_a_folder_is_barred_whole(board):
    view = act(board, do="bar", frame=key_of("morning/0000.jpg"), folder=True)
    assert set(view["barred"]) == {key_of(f"morning/000{n}.jpg") for n in range(4)}
    assert all(path.startswith("evening/") for path in hung(view))


def test_a_weight_moves_its_points_alone_where_the_set_stays(board):
    before = board.view()
    after = act(board, do="weigh", term="quality", points=30)
    weight = next(weight for weight in after["weights"] if weight["term"] == "quality")
    assert weight["points"] == 30
    assert "other weights" in after["said"]
    if hung(after) == hung(before):
        was = next(weight for weight in before["weights"] if weight["term"] == "quality")
        assert weight["now"] == pytest.approx(was["now"] * 30 / was["points"])  # linear in the weights


def test_stars_turns_and_scales_are_corrections_in_the_index(board, tmp_path):
    key, path = key_of("morning/0001.jpg"), "morning/0001.jpg"
    act(board, do="rate", frame=key, stars=4)
    act(board, do="rescale", frame=key, scale="close")
    act(board, do="turn", frame=key)
    # kept once it is answered, whoever ends then; the frame itself is measured beside the board
    said = {"stars": "4", "scale": "close", "turn": "90"}
    assert corrections(tmp_path)[path].items() >= said.items()
    board.settling.wait(120)
    frame = next(frame for frame in Catalog(tmp_path / "pottery").frames() if frame.path == path)
    assert (frame.stars, frame.said, frame.turn) == (4, "close", 90)
    assert (frame.width, frame.height) == (600, 900)
    for _ in range(3):
        act(board, do="undo")
    assert not corrections(tmp_path)[path].keys() & said.keys()
    board.settling.wait(120)
    frame = next(frame for frame in Catalog(tmp_path / "pottery").frames() if frame.path == path)
    assert (frame.stars, frame.said, frame.turn) == (None, None, None)


def test_undo_and_redo_go_back_and_forth_exactly(board):
    seen = [hung(board.view())]
    for place in range(2):
        after = act(board, do="bar", frame=board.view()["set"]["prints"][place]["frame"])
        seen.append(hung(after))
    assert hung(act(board, do="undo")) == seen[1]
    assert hung(act(board, do="undo")) == seen[0]
    assert "nothing to take back" in act(board, do="undo")["said"]
    assert hung(act(board, do="redo")) == seen[1]
    assert hung(act(board, do="redo")) == seen[2]
    assert "nothing to do again" in act(board, do="redo")["said"]


def test_a_change_that_changes_nothing_says_so_and_is_no_step(board):
    key = board.view()["set"]["prints"][0]["frame"]
    first = act(board, do="pin", frame=key)
    again = act(board, do="pin", frame=key)
    assert again["said"].endswith("That was so already.")
    assert (again["undo"], again["revision"]) == (first["undo"], first["revision"])


def test_where_no_set_holds_the_clash_is_said_and_a_way_out_is_offered(board):
    for row in frame_rows(board.frames())[:6]:
        view = act(board, do="bar", frame=row["frame"])
    assert view["set"] is None
    assert view["status"] == "none"
    assert view["clash"]
    assert view["said"].startswith(f"{row['name']} is barred. No set holds under these rules: ")
    with pytest.raises(BadInput, match="no set to swap"):
        board.swaps(key_of("morning/0000.jpg"), proven=False)
    ways = board.ways()["ways"]
    says = [way["says"] for way in ways]
    assert says[0] == f"with {row['path']} let in 1 more frame counts and a set exists"
    assert {"without any of 6 bars 6 more frames count and a set exists", "with 2 frames a set exists"} <= set(says)
    for way in ways:
        shown = board.ways()
        assert act(board, do="way", number=way["number"], revision=shown["revision"])["set"] is not None
        act(board, do="undo")
    with pytest.raises(BadInput, match="look again"):
        act(board, do="way", number=1, revision=shown["revision"])
    assert act(board, do="begin again")["set"] is not None
    assert board.ways()["ways"] == []


def test_what_is_no_frame_or_no_weight_changes_nothing(board):
    before = board.view()
    with pytest.raises(NoSuchFrame):
        act(board, do="pin", frame="0" * 16)
    with pytest.raises(BadBrief, match="beauty"):
        act(board, do="weigh", term="beauty", points=3)
    assert board.view() == before


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"[]",
        b'{"do":"delete"}',
        b'{"do":"pin"}',
        b'{"do":"pin","frame":"../../etc/passwd"}',
        b'{"do":"pin","frame":"0123456789abcdef","path":"x"}',
        b'{"do":"rate","frame":"0123456789abcdef","stars":6}',
        b'{"do":"rate","frame":"0123456789abcdef","stars":"5"}',
        b'{"do":"weigh","term":"appeal","points":1e9}',
        b'{"do":"weigh","term":"appeal","points":NaN}',
        b"\xff\xfe",
    ],
)
def test_what_is_no_act_is_refused(board, content):
    with pytest.raises(BadInput, match="nothing that the board can do"):
        read_act(content)


def test_pictures_are_of_shown_prints_and_catalogued_frames_only(board):
    print_ = board.view()["set"]["prints"][0]
    for corrected in (True, False):
        assert board.print_jpeg(print_["picture"], 240, corrected=corrected).startswith(b"\xff\xd8")
    assert board.frame_jpeg(print_["frame"], 240).startswith(b"\xff\xd8")
    with pytest.raises(NoSuchFrame):
        board.print_jpeg("0" * 20, 240, corrected=True)
    with pytest.raises(NoSuchFrame):
        board.frame_jpeg("0" * 16, 240)


def test_why_answers_for_frames_in_and_out(board):
    view = board.view()
    inside = board.why(view["set"]["prints"][0]["frame"])
    assert inside["in_set"]
    assert inside["lines"]
    outside = next(row for row in frame_rows(board.frames()) if row["path"] not in hung(view))
    assert not board.why(outside["frame"])["in_set"]


def test_a_catalog_that_is_gone_is_said_and_the_board_goes_on(board, tmp_path):
    key = board.view()["set"]["prints"][0]["frame"]
    gone = (tmp_path / "pottery").rename(tmp_path / "elsewhere")
    before = board.view()
    for what in ({"do": "rate", "frame": key, "stars": 3}, {"do": "bar", "frame": key}):
        with pytest.raises(BadInput):
            act(board, **what)
    assert {**board.view(), "redo": 0} == before
    gone.rename(tmp_path / "pottery")
    assert act(board, do="rate", frame=key, stars=3)["undo"] == 1

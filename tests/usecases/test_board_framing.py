"""Prints framed by hand, and frames in slots, on a board: kept, said, undone, and within their rules."""

import pytest

from setsolver.errors import BadInput
from setsolver.usecases.board.acts import read_framing
from tests.cli.shoot import BRIEF
from tests.usecases.boards import act, open_board, write_brief

ROLES = BRIEF.replace("[tone]", "[roles]\nwide = [0, 3]\nmedium = [0, 3]\nclose = [0, 3]\n[tone]", 1)


@pytest.fixture
def board(tmp_path):
    write_brief(tmp_path, ROLES)
    return open_board(tmp_path)


def first(board):
    return board.view()["set"]["prints"][0]


def framing(board, **wish):
    return board.framing(first(board)["frame"], read_framing({name: str(value) for name, value in wish.items()}))


def test_a_framing_is_told_before_it_is_kept_and_is_kept_as_told(board):
    told = framing(board, x=0.45, y=0.5, share=0.7, level=1.0)
    assert told["level"] == 1.0
    assert board.print_jpeg(told["picture"], 240, corrected=True).startswith(b"\xff\xd8")
    before = first(board)
    after = act(board, do="crop", frame=before["frame"], x=0.45, y=0.5, share=0.7, level=1.0)
    print_ = next(one for one in after["set"]["prints"] if one["frame"] == before["frame"])
    assert print_["crop"] == pytest.approx(told["box"])
    assert print_["ppi"] == pytest.approx(told["ppi"])
    assert print_["by_hand"]
    assert print_["ppi"] < before["ppi"]  # fewer pixels on the same paper
    assert "is framed by hand, and so pinned." in after["said"]
    assert after["pinned"] == [before["frame"]]


def test_a_print_framed_as_it_hangs_is_the_print_that_hangs(board):
    print_ = first(board)
    x, y = (print_["crop"][axis] + print_["crop"][axis + 2] / 2 for axis in (0, 1))
    told = framing(board, x=x, y=y, share=print_["share"], level=print_["level"])
    assert told["box"] == pytest.approx(print_["crop"])
    assert (told["tone"], told["ppi"]) == (print_["tone"], pytest.approx(print_["ppi"]))
    assert told["keeps"]


def test_it_is_kept_through_a_restart_undone_and_given_back_to_measures(board, tmp_path):
    before = first(board)
    act(board, do="crop", frame=before["frame"], x=0.45, y=0.5, share=0.7, level=0)
    again = open_board(tmp_path)
    assert first(again)["crop"] == pytest.approx(first(board)["crop"])
    act(board, do="undo")
    assert first(board) == before
    act(board, do="redo")
    after = act(board, do="crop", frame=before["frame"])
    assert first(board)["crop"] == before["crop"]
    assert "is framed as measures put it" in after["said"]


def test_a_crop_with_too_few_pixels_is_refused_with_the_way_out(board):
    told = framing(board, x=0.5, y=0.5, share=1, level=0)
    least = told["least"]
    # 20 cm at 60 ppi need 473 pixels; the drawn frames are 900 wide
    assert least == pytest.approx(473 / 900, abs=0.002)
    act(board, do="crop", frame=first(board)["frame"], x=0.5, y=0.5, share=least, level=0)
    before = board.view()
    with pytest.raises(BadInput, match="make the crop larger, or the print smaller"):
        act(board, do="crop", frame=first(board)["frame"], x=0.5, y=0.5, share=least - 0.05, level=0)
    assert board.view() == before


@pytest.mark.parametrize("wish", [{"x": 0.5}, {"share": 0.01}, {"level": 60}, {"x": "nan", "y": 0.5}])
def test_what_is_no_framing_is_refused(board, wish):
    with pytest.raises(BadInput):
        framing(board, **wish)


def test_a_frame_that_does_not_hang_is_not_framed(board):
    view = board.view()
    hung = {one["frame"] for one in view["set"]["prints"]}
    other = next(key for key in board.frames()["columns"]["frame"] if key not in hung)
    with pytest.raises(BadInput, match="not on the wall"):
        act(board, do="crop", frame=other, x=0.5, y=0.5, share=0.7)


def test_a_frame_is_pinned_to_a_slot_and_freed_from_it(board):
    key = first(board)["frame"]
    for slot in ("wide", "close"):
        after = act(board, do="pin", frame=key, slot=slot)
        if after["set"] is None:
            assert slot in after["clash"][0]["says"]
            act(board, do="undo")
            continue
        print_ = next(one for one in after["set"]["prints"] if one["frame"] == key)
        assert print_["slot"] == slot
        assert after["seated"] == {key: slot}
    assert act(board, do="free", frame=key)["seated"] == {}


def test_slack_slots_and_layout_are_rules_that_the_set_follows(board):
    after = act(board, do="change", key="layout.kind", value="column")
    tops = [one["box"][1] for one in after["set"]["prints"]]
    assert tops == sorted(set(tops))  # one above the other
    after = act(board, do="change", key="layout.gap_cm", value=10)
    assert after["set"]["plan"]["height"] == pytest.approx(
        2 * 10 + sum(one["box"][3] for one in after["set"]["prints"])
    )
    loose = act(board, do="change", key="tone.slack.mid", value=50)["set"]
    assert loose["score"] >= after["set"]["score"] - 1e-6  # a wider slack never costs
    mono = act(board, do="change", key="tone.treatment", value="mono")
    assert mono["said"].startswith("Printed in: now mono.")
    with pytest.raises(BadInput):
        act(board, do="change", key="layout.kind", value="spiral")
    for _ in range(4):
        act(board, do="undo")
    assert board.view()["set"]["plan"]["says"].startswith("3 prints in one row")


def test_slots_of_their_own_have_counts_sizes_and_aspects(tmp_path):
    slots = '[[slot]]\nname = "lead"\nrole = "wide"\ncount = [0, 3]\n[[slot]]\nrole = "medium"\ncount = [0, 3]\n'
    slots += '[[slot]]\nrole = "close"\ncount = [0, 3]\n'
    write_brief(tmp_path, BRIEF + slots)
    board = open_board(tmp_path)
    keys = {rule["key"] for rule in board.view()["rules"]}
    assert {"slot.0.least", "slot.0.most", "slot.0.print_cm", "slot.0.aspect"} <= keys
    after = act(board, do="change", key="slot.0.print_cm", value=24)
    assert all(one["print_cm"] == (24 if one["slot"] == "lead" else 20) for one in after["set"]["prints"])
    after = act(board, do="change", key="slot.0.print_cm", value=None)
    assert {one["print_cm"] for one in after["set"]["prints"]} == {20}

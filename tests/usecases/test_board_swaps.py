"""Swaps on the board: the session's, proven when asked, and what taking one does."""

import pytest

from setsolver.usecases.board import MOST_SWAPS
from setsolver.usecases.board.rows import key_of
from tests.usecases.boards import act, first_swap, frame_rows, hung, open_board


@pytest.fixture
def board(tmp_path):
    return open_board(tmp_path)


def test_swaps_are_the_session_s_the_best_of_each_look_and_proven(board):
    print_ = board.view()["set"]["prints"][1]
    folds = {row["frame"]: row["fold"] for row in frame_rows(board.frames())}
    quick, sure = (board.swaps(print_["frame"], proven=proven)["swaps"] for proven in (False, True))
    every = list(board.session.swaps(print_["path"], 100))
    looks = {}
    for swap in every:
        looks.setdefault(folds[key_of(swap.path)], []).append(swap)
    expected = [look[0] for look in looks.values()][:MOST_SWAPS]
    assert [swap["path"] for swap in sure] == [swap.path for swap in expected] == [swap["path"] for swap in quick]
    assert [swap["like"] for swap in sure] == [len(look) - 1 for look in looks.values()][:MOST_SWAPS]
    for said, swap in zip(sure, expected, strict=True):
        assert said["points"] == pytest.approx(swap.points)
        assert said["best_points"] >= said["points"] - 1e-6
        assert said["best_proven"]
    assert {swap["best_points"] for swap in quick} == {None}


def test_what_holds_the_set_back_is_what_the_session_prices(board):
    told, outcome = board.holds(), board.session.prices()
    assert outcome.prices  # or nothing would be tested
    dear = [price for price in outcome.prices if price.points is None or price.points >= 0.05]
    assert [one["points"] for one in told["holds"]] == [price.points for price in dear]
    assert told["free"] == len(outcome.prices) - len(dear)
    assert all(one["says"].endswith(".") for one in told["holds"])


def test_what_a_swap_stands_for_is_shown_when_asked_and_proven_too(board):
    asked = 0
    for print_ in board.view()["set"]["prints"]:
        every = {swap.path: swap for swap in board.session.swaps(print_["path"], 100)}
        shown = board.swaps(print_["frame"], proven=False)["swaps"]
        for swap in shown:
            like = board.swaps(print_["frame"], proven=True, like=swap["frame"])["swaps"]
            assert len(like) == swap["like"]
            for one in like:
                assert one["points"] == pytest.approx(every[one["path"]].points)
                assert one["points"] <= swap["points"]
                assert one["best_points"] == pytest.approx(every[one["path"]].best_points)
                asked += one["best_proven"]
        everyone = {swap["path"] for swap in shown}
        assert len(everyone) + sum(swap["like"] for swap in shown) == len(every)
    assert asked > 0  # the drawn shoot has repeats


def test_a_pinned_print_has_swaps_too_and_gives_way_to_one(board):
    """After a swap all prints are pinned, so that they stay: the next one must be possible all the same."""
    print_, swap = first_swap(board)
    before = act(board, do="put", frame=swap["frame"], instead=print_["frame"], others="stay")
    assert set(before["pinned"]) == {one["frame"] for one in before["set"]["prints"]}
    other, next_ = first_swap(board, place=2)
    assert next_["best_points"] >= next_["points"] - 1e-6
    after = act(board, do="put", frame=next_["frame"], instead=other["frame"], others="stay")
    assert set(hung(after)) == set(hung(before)) - {other["path"]} | {next_["path"]}
    assert after["set"]["score"] == pytest.approx(before["set"]["score"] + next_["points"])


def test_the_rules_that_make_a_swap_s_difference_are_the_largest(board):
    _, swap = first_swap(board)
    amounts = [abs(part["points"]) for part in swap["because"]]
    assert amounts == sorted(amounts, reverse=True)
    assert amounts


def test_a_swap_taken_keeps_the_others_and_is_worth_what_it_said(board):
    before = board.view()
    print_, swap = first_swap(board)
    after = act(board, do="put", frame=swap["frame"], instead=print_["frame"], others="stay")
    assert set(hung(after)) == set(hung(before)) - {print_["path"]} | {swap["path"]}
    assert after["set"]["score"] >= before["set"]["score"] + swap["points"] - 1e-6
    assert after["said"].startswith(f"{swap['name']} for {print_['name']}; the others stay.")


def test_a_swap_with_the_others_answering_is_the_best_set_with_it(board):
    before = board.view()["set"]["score"]
    print_, swap = first_swap(board, place=2)
    after = act(board, do="put", frame=swap["frame"], instead=print_["frame"], others="answer")
    assert after["set"]["score"] == pytest.approx(before + swap["best_points"])
    assert swap["path"] in hung(after)

"""Rules on the board: changed one by one, each within what it may be, with ways out where counts contradict."""

import pytest

from setsolver.errors import BadBrief, BadInput
from tests.cli.shoot import BRIEF
from tests.usecases.boards import act, open_board, write_brief


@pytest.fixture
def board(tmp_path):
    return open_board(tmp_path)


def rule(view, key):
    return next(rule for rule in view["rules"] if rule["key"] == key)["value"]


def test_rules_are_changed_one_by_one_and_the_set_answers(board):
    after = act(board, do="change", key="print_cm", value=24)
    assert {print_["print_cm"] for print_ in after["set"]["prints"]} == {24}
    assert after["said"].startswith("Long edge, cm: now 24.")
    after = act(board, do="change", key="size", value=2)
    assert len(after["set"]["prints"]) == 2
    after = act(board, do="change", key="aspect", value="1:1")
    assert {print_["aspect"] for print_ in after["set"]["prints"]} == {"1:1"}
    after = act(board, do="change", key="repeats.scene", value=1)
    assert rule(after, "repeats.scene") == 1
    after = act(board, do="change", key="repeats.scene", value=None)
    assert rule(after, "repeats.scene") is None
    after = act(board, do="change", key="tone.reach.mid", value=0.5)
    assert (rule(after, "tone.reach.mid"), rule(after, "tone.reach.black")) == (0.5, 60)
    for _ in range(6):
        after = act(board, do="undo")
    assert (rule(after, "print_cm"), rule(after, "size"), rule(after, "tone.reach.mid")) == (20, 3, 60)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("size", 2.5),
        ("size", None),
        ("size", "3"),
        ("size", 0),
        ("aspect", 1.5),
        ("aspect", "wide"),
        ("roles.wide.least", 1),
        ("frames.include", "x"),
        ("name", "other"),
        ("tone.reach.mid", 101),
        ("tone", 1),
    ],
)
def test_a_rule_that_is_none_or_a_value_that_is_not_allowed_changes_nothing(board, key, value):
    before = board.view()
    with pytest.raises(BadInput):
        act(board, do="change", key=key, value=value)
    assert board.view() == before


def test_a_count_that_contradicts_others_is_said_shortly_with_each_way_out(tmp_path):
    write_brief(tmp_path, BRIEF.replace("[tone]", "[roles]\nwide = [0, 1]\nmedium = [1, 1]\nclose = [0, 1]\n[tone]", 1))
    board = open_board(tmp_path)
    with pytest.raises(BadBrief, match=r"^the roles allow at most 3 frames, but size is 4; let one have more$"):
        act(board, do="change", key="size", value=4)
    ways = board.mendings("size", 4)["ways"]
    assert [way["besides"] for way in ways] == [{f"roles.{role}.most": 2} for role in ("wide", "medium", "close")]
    assert ways[0]["says"] == "Prints in the set 4, with wide at most 2"
    changed = act(board, do="change", key="size", value=4, besides=ways[0]["besides"])
    assert changed["brief"]["size"] == 4
    assert {rule["key"]: rule["value"] for rule in changed["rules"]}["roles.wide.most"] == 2
    act(board, do="undo")
    assert board.view()["brief"]["size"] == 3
    assert board.mendings("size", 3)["ways"] == []  # nothing to mend
    assert board.mendings("roles.wide.least", 2)["ways"][0]["besides"] == {"roles.wide.most": 2}
    assert board.mendings("size", 9)["ways"] == []  # there are eight frames
    assert board.mendings("layout.gap_cm", 4)["ways"] == []  # no count
    with pytest.raises(BadInput, match="no rule that the board changes"):
        board.mendings("roles.kiln.least", 2)


def test_counts_of_roles_are_rules_where_the_brief_has_them(tmp_path):
    write_brief(tmp_path, BRIEF.replace("[tone]", "[roles]\nwide = [0, 3]\nmedium = [0, 3]\nclose = [0, 3]\n[tone]"))
    board = open_board(tmp_path)
    after = act(board, do="change", key="roles.close.most", value=1)
    assert sum(print_["plays"] == "close" for print_ in after["set"]["prints"]) <= 1 if after["set"] else after["clash"]
    with pytest.raises(BadInput, match="above the most"):
        act(board, do="change", key="roles.close.least", value=3)

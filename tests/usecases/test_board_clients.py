"""Clients' answers: read, put together, kept through a restart, and read by ``suggest`` and ``learn`` as well."""

import json

import pytest

from setsolver.errors import BadInput
from setsolver.usecases.board.rows import key_of
from setsolver.usecases.briefs import load_brief
from setsolver.usecases.learn import read_choices
from setsolver.usecases.ticks import answers_in, read_answers, with_ticks
from tests.usecases.boards import act, open_board, write_brief

A, B, C = "morning/0000.jpg", "morning/0001.jpg", "evening/0004.jpg"


def line(by, kept=(), chosen=(), over=(), notes=None):
    told = {"catalog": "pottery", "brief": "any-three", "made": "2026-05-03T10:00:00Z", "by": by}
    answer = {"format": "setsolver/choice", "version": 1, **told, "chosen": chosen, "over": over}
    return json.dumps({**answer, "kept": kept, "notes": notes or {}})


@pytest.fixture
def board(tmp_path):
    return open_board(tmp_path)


def test_several_clients_ticks_are_shown_together(board, tmp_path):
    board.hear(line("Anna", [A, B], notes={"print 1": "larger, please"}) + "\n")
    view = board.hear(line("Boris", [B, "gone.jpg"], [A, B, C], [[A]]))
    assert view["ticked"] == {key_of(A): ["Anna"], key_of(B): ["Anna", "Boris"]}
    anna, boris = view["clients"]
    assert anna["notes"] == [{"about": "print 1", "says": "larger, please"}]
    assert (boris["chosen"], boris["gone"]) == ([key_of(A), key_of(B), key_of(C)], ["gone.jpg"])
    assert open_board(tmp_path).view()["clients"] == view["clients"]
    (file,) = board.kept.home.glob("*.ticks.jsonl")
    assert [choice.by for choice in read_choices([file])] == ["Boris"]  # Anna preferred no set


def test_the_same_answer_counts_once_and_can_be_set_aside(board):
    board.hear(line("Anna", [A]))
    view = board.hear(line("Anna", [A]))
    assert view["said"] == "This answer was read before."
    (anna,) = view["clients"]
    assert act(board, do="set aside", client=anna["client"])["clients"] == []
    assert board.view()["ticked"] == {}


def test_what_all_ticked_is_pinned_as_one_change(board):
    after = act(board, do="pin many", frames=[key_of(A), key_of(C)])
    assert set(after["pinned"]) == {key_of(A), key_of(C)}
    assert act(board, do="undo")["pinned"] == []


@pytest.mark.parametrize("text", ["", "\n\n", "{", '{"format":"setsolver/choice"}', "ticks", line("Anna", ["x.jpg"])])
def test_what_is_no_answer_or_one_to_another_shoot_is_refused(board, text):
    before = board.view()
    with pytest.raises(BadInput):
        board.hear(text)
    assert board.view() == before


def test_names_and_notes_are_text_and_no_more(board):
    view = board.hear(line("<b>\x1b[2J", [A], notes={"print 1": "<script>\u202e"}))
    assert view["clients"][0]["by"] == "<b>\\x1b[2J"
    assert view["clients"][0]["notes"][0]["says"] == "<script>\\u202e"


def test_suggest_wishes_for_what_all_who_ticked_agree_on(tmp_path):
    brief = load_brief(str(write_brief(tmp_path)))
    file = tmp_path / "anna.jsonl"
    file.write_text(line("Anna", [A, B]) + "\n" + line("Boris", [B]) + "\n" + line("Carl", [], [A], [[B]]), "utf-8")
    wished, says = with_ticks(brief, read_answers([file]), {A, B, C})
    assert wished.frames.include == (B,)
    assert f"{B} was ticked by Anna and Boris" in says
    assert f"{A} was ticked by Anna" in says
    assert with_ticks(brief, (), {A}) == (brief, ())


def test_a_file_that_cannot_be_read_is_named(tmp_path):
    with pytest.raises(BadInput, match=r"nothing\.jsonl"):
        read_answers([tmp_path / "nothing.jsonl"])
    with pytest.raises(BadInput, match="line 2"):
        answers_in(line("Anna", [A]) + "\nno", "the file")

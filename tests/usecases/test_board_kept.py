"""What the board keeps on the disk: choices, a working copy, and nothing where that cannot be written."""

import tomllib
from pathlib import Path

import jsonschema
import pytest

from setsolver.errors import BadBrief, BadInput
from setsolver.solver import alternates
from setsolver.usecases.learn import read_choices
from setsolver.usecases.schemas import choice_schema
from tests.usecases.boards import act, choices, first_swap, hung, make_folder, open_board


@pytest.fixture
def board(tmp_path):
    return open_board(tmp_path)


def test_a_choice_is_kept_as_its_schema_says_and_goes_with_undo(board):
    before = hung(board.view())
    print_, swap = first_swap(board)
    act(board, do="put", frame=swap["frame"], instead=print_["frame"], others="stay")
    (choice,) = choices(board)
    jsonschema.validate(choice, choice_schema())
    assert set(choice["over"][0]) == set(before)
    assert swap["path"] in choice["chosen"]
    act(board, do="undo")
    assert choices(board) == []
    act(board, do="redo")
    assert choices(board) == [choice]


def test_keeping_an_alternate_prefers_it_to_all_that_were_shown(board):
    best, shown = hung(board.view()), board.alternates()
    wanted = shown["sets"][0]
    after = act(board, do="keep", number=2, revision=shown["revision"])
    assert set(hung(after)) == {print_["path"] for print_ in wanted["prints"]}
    (choice,) = choices(board)
    assert set(choice["chosen"]) == set(hung(after))
    assert set(best) in [set(paths) for paths in choice["over"]]
    assert len(choice["over"]) == len(shown["sets"])


def test_an_alternate_is_shown_and_kept_as_soon_as_it_is_known(board, monkeypatch):
    real, searches = alternates.find, []
    monkeypatch.setattr(alternates, "find", lambda *given, **more: (searches.append(1), real(*given, **more))[1])
    told = [board.alternates(most) for most in (1, 2, 3)]
    assert len(searches) == 3
    assert [one["more"] for one in told] == [True, True, False]
    assert [one["asked"] for one in told] == [1, 2, 3]
    assert [len(one["sets"]) for one in told] == [1, 2, 3]
    assert all(one["sets"] == told[2]["sets"][:at] for at, one in enumerate(told, 1))
    assert board.alternates(1) == told[0]  # another page begins to look
    assert board.alternates() == board.alternates(900) == told[2]
    assert len(searches) == 3
    act(board, do="keep", number=4, revision=told[0]["revision"])
    assert hung(board.view()) == [print_["path"] for print_ in told[2]["sets"][2]["prints"]]


def test_of_two_that_are_shown_the_one_kept_is_preferred_to_these(board):
    shown = board.alternates(1)
    act(board, do="keep", number=2, revision=shown["revision"])
    (choice,) = choices(board)
    assert len(choice["over"]) == 1


def test_an_alternate_of_before_is_refused(board):
    shown = board.alternates()
    act(board, do="bar", frame=board.view()["set"]["prints"][0]["frame"])
    with pytest.raises(BadInput, match="changed since"):
        act(board, do="keep", number=2, revision=shown["revision"])


def test_all_is_there_again_after_a_restart(board, tmp_path):
    print_, swap = first_swap(board)
    act(board, do="put", frame=swap["frame"], instead=print_["frame"], others="stay")
    act(board, do="weigh", term="appeal", points=25)
    before = act(board, do="rate", frame=swap["frame"], stars=5)
    again = open_board(tmp_path).view()  # nothing was closed: as after a kill
    assert hung(again) == hung(before)
    assert again["set"]["score"] == pytest.approx(before["set"]["score"])
    assert again["weights"] == before["weights"]
    assert again["said"] == "Here is where you left off."
    assert len(choices(board)) == 1


def test_the_brief_itself_is_never_written_and_an_edit_of_it_is_said(board, tmp_path):
    file = tmp_path / "any-three.toml"
    text = file.read_text("utf-8")
    act(board, do="weigh", term="appeal", points=25)
    assert file.read_text("utf-8") == text
    assert not board.view()["edited"]
    file.write_text(text.replace("print_cm = 20", "print_cm = 24"), encoding="utf-8")
    assert board.view()["edited"]
    assert board.view()["set"]["prints"][0]["print_cm"] == 20
    after = act(board, do="begin again")
    assert after["set"]["prints"][0]["print_cm"] == 24
    assert not after["edited"]


def test_two_boards_on_one_brief_do_not_overwrite_each_other(board, tmp_path):
    other = open_board(tmp_path)
    act(board, do="weigh", term="appeal", points=25)
    before = other.view()
    with pytest.raises(BadInput, match="not overwritten"):
        act(other, do="weigh", term="appeal", points=30)
    assert other.view()["weights"] == before["weights"]
    assert tomllib.loads(board.kept.brief_file.read_text("utf-8"))["weights"]["appeal"] == 25


def test_a_working_copy_that_cannot_be_read_is_refused_with_its_name(board, tmp_path):
    act(board, do="weigh", term="appeal", points=25)
    board.kept.brief_file.write_text("size = ", encoding="utf-8")
    with pytest.raises(BadBrief, match=r"any-three.*\.toml.*move it away"):
        open_board(tmp_path)


def test_a_read_only_folder_keeps_its_board_in_the_cache(tmp_path, monkeypatch):
    folder = make_folder(tmp_path)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setattr("setsolver.catalog.place._writable", _outside(folder))
    board = open_board(tmp_path)
    act(board, do="weigh", term="appeal", points=25)
    assert board.kept.brief_file.is_relative_to(tmp_path / "cache")


def _outside(folder):
    def writable(where):
        if where.is_relative_to(folder):
            return False
        where.mkdir(parents=True, exist_ok=True)
        return True

    return writable


def test_learn_reads_the_choices_wherever_the_catalog_is_moved(board, tmp_path):
    print_, swap = first_swap(board)
    act(board, do="put", frame=swap["frame"], instead=print_["frame"], others="stay")
    moved = (tmp_path / "pottery").rename(tmp_path / "moved")
    (choice,) = read_choices([moved / ".setsolver" / "board" / "choices.jsonl"])
    assert Path(choice.catalog).resolve() == moved.resolve()


@pytest.mark.parametrize("raised", [BadInput("no room"), OSError("disk"), RuntimeError("bug")])
def test_what_cannot_be_kept_is_not_done(board, monkeypatch, raised):
    before, count = board.view(), board.session.undoable
    print_, swap = first_swap(board)

    def fail(*_, **__):
        raise raised

    with monkeypatch.context() as patched:
        patched.setattr(board.kept, "save", fail)
        for what in (
            {"do": "weigh", "term": "appeal", "points": 3},
            {"do": "bar", "frame": print_["frame"]},
            {"do": "put", "frame": swap["frame"], "instead": print_["frame"], "others": "stay"},
        ):
            with pytest.raises(type(raised)):
                act(board, **what)
    after = board.view()
    assert {**after, "redo": 0} == before
    assert board.session.undoable == count
    assert choices(board) == []
    assert act(board, do="weigh", term="appeal", points=3)["undo"] == 1

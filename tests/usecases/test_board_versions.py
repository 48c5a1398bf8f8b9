"""Versions and choices: sets under a name, compared, preferred, and never lost between two boards."""

from concurrent.futures import ThreadPoolExecutor

import pytest

from setsolver.errors import BadInput
from setsolver.usecases.learn import read_choices
from setsolver.usecases.scan import scan
from setsolver.usecases.sets import load_set
from tests.usecases.boards import act, choices, hung, open_board


@pytest.fixture
def board(tmp_path):
    return open_board(tmp_path)


def name(board, called, number=1):
    return act(board, do="name", name=called, number=number, revision=board.revision)


def test_a_version_is_a_set_that_other_verbs_read(board):
    view = name(board, "the kiln")
    (version,) = view["versions"]
    assert version["name"] == "the kiln"
    (told,) = board.versions()["versions"]
    assert told["points"] == pytest.approx(0)
    assert (told["shared"], told["differs"], told["keys"]) == (3, [], [])
    folder = next((board.kept.home / board.kept.stem).iterdir())
    _, found = load_set(str(folder))
    assert [frame.path for frame in found.frames] == hung(view)


def test_an_alternate_becomes_a_version_and_is_compared_by_the_weights_of_now(board):
    shown = board.alternates()
    name(board, "bold", number=2)
    (told,) = board.versions()["versions"]
    assert told["points"] == pytest.approx(shown["sets"][0]["points"])
    assert sum(part["points"] for part in told["differs"]) == pytest.approx(told["points"], abs=0.3)
    before = act(board, do="weigh", term="appeal", points=5)["set"]["score"]
    (told,) = board.versions()["versions"]
    assert told["keys"] == ["weights.appeal"]
    assert told["points"] == pytest.approx(told["now"] - before)
    assert told["points"] <= 1e-6  # the set on the wall is the best by these weights


def test_a_version_hangs_again_with_its_brief_and_that_is_no_choice(board):
    first = board.view()
    name(board, "first")
    act(board, do="bar", frame=first["set"]["prints"][0]["frame"])
    act(board, do="weigh", term="appeal", points=5)
    (version,) = board.view()["versions"]
    after = act(board, do="recall", version=version["version"])
    assert hung(after) == hung(first)
    assert after["weights"][0]["points"] == first["weights"][0]["points"]
    assert after["said"].startswith("first hangs again.")
    assert choices(board) == []
    assert hung(act(board, do="undo")) != hung(first)


def test_preferring_one_of_several_is_a_choice_over_the_others_and_goes_with_undo(board):
    first = hung(board.view())
    name(board, "first")
    act(board, do="bar", frame=board.view()["set"]["prints"][0]["frame"])
    second = hung(board.view())
    name(board, "second")
    act(board, do="bar", frame=board.view()["set"]["prints"][1]["frame"])
    third = hung(board.view())
    one, two = (version["version"] for version in board.view()["versions"])
    act(board, do="recall", version=one, over=[two], wall=True)
    (choice,) = choices(board)
    assert set(choice["chosen"]) == set(first)
    assert {frozenset(paths) for paths in choice["over"]} == {frozenset(second), frozenset(third)}
    act(board, do="undo")
    assert choices(board) == []


def test_names_are_free_once_and_hold_no_path(board):
    name(board, "../../the best <b>")
    folder = next((board.kept.home / board.kept.stem).iterdir())
    assert folder.parent == board.kept.home / board.kept.stem
    assert folder.name.startswith("the-best-b-")
    with pytest.raises(BadInput, match="choose another name"):
        name(board, "../../The best <b>")
    (version,) = board.view()["versions"]
    act(board, do="forget", version=version["version"])
    assert board.view()["versions"] == []
    with pytest.raises(BadInput, match="not there any more"):
        act(board, do="recall", version=version["version"])


def test_a_set_that_changed_since_it_was_shown_is_not_named(board):
    with pytest.raises(BadInput, match="changed since"):
        act(board, do="name", name="late", revision=board.revision - 1)


def test_what_changes_no_set_leaves_the_sets_that_were_shown_as_they_are(board):
    shown = board.alternates()
    for number in (2, 3):
        act(board, do="name", name=f"number {number}", number=number, revision=shown["revision"])
    view = act(board, do="keep", number=2, revision=shown["revision"])
    assert hung(view) == [one["path"] for one in shown["sets"][0]["prints"]]
    with pytest.raises(BadInput, match="the sets have changed since these were shown"):
        act(board, do="keep", number=3, revision=shown["revision"])
    with pytest.raises(BadInput, match="the set has changed since it was shown; look at the one that hangs now"):
        act(board, do="name", name="too late", revision=shown["revision"])


def test_a_version_whose_frame_is_gone_says_so(board, tmp_path):
    name(board, "first")
    path = hung(board.view())[0]
    (tmp_path / "pottery" / path).unlink()
    scan(tmp_path / "pottery", workers=0)
    again = open_board(tmp_path)
    (told,) = again.versions()["versions"]
    assert told["gone"] == [path.rpartition("/")[2]]
    with pytest.raises(BadInput, match="not in the catalog any more"):
        act(again, do="recall", version=told["version"])


def test_boards_on_one_folder_lose_no_choice(board):
    chosen, over = ["a.jpg"], [["b.jpg"]]
    records = [board.kept.choices.record(f"brief {n}", chosen, over) for n in range(40)]
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(board.kept.choices.add, records))
    assert {choice["brief"] for choice in choices(board)} == {f"brief {n}" for n in range(40)}
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(board.kept.choices.take_back, records[:20]))
    assert {choice["brief"] for choice in choices(board)} == {f"brief {n}" for n in range(20, 40)}


def test_a_choice_names_its_brief_so_that_learning_finds_it(board, tmp_path):
    shown = board.alternates()
    act(board, do="keep", number=2, revision=shown["revision"])
    (choice,) = read_choices([board.kept.choices.file])
    assert choice.brief == str(tmp_path / "any-three.toml")

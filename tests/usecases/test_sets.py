"""Set folders: found by reference, never overwritten, whole or not there."""

import os
import re
from datetime import UTC, datetime

import pytest

from setsolver.errors import BadInput
from setsolver.usecases import sets
from setsolver.usecases.compare import compare, points_by_rule
from setsolver.usecases.sets import load_outcome, load_set, write_set
from setsolver.usecases.suggest import suggest
from tests.rules.builders import make_brief, make_shoot


@pytest.fixture(scope="module")
def outcome():
    return suggest(make_shoot(12), make_brief(), alternates=2)


@pytest.fixture
def folder(tmp_path, outcome):
    (tmp_path / "outcome.json").write_text(outcome.model_dump_json(), encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize("ending", ["", "/outcome.json"])
@pytest.mark.parametrize(("mark", "number"), [("", 0), ("#1", 0), ("#2", 1), ("#3", 2)])
def test_a_reference_finds_its_set(folder, outcome, ending, mark, number):
    assert load_set(f"{folder}{ending}{mark}")[1] == outcome.sets[number]


@pytest.mark.parametrize("mark", ["#0", "#9"])
def test_a_number_that_is_not_there_says_how_many_are(folder, mark):
    with pytest.raises(BadInput, match="it holds 3"):
        load_set(f"{folder}{mark}")


def test_new_folders_never_meet_an_old_one(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    now = datetime(2026, 5, 2, tzinfo=UTC)
    names = [write_set("wall three", None, {"a": b"x"}, now).name for _ in range(3)]
    assert names == ["wall-three-2026-05-02", "wall-three-2026-05-02-2", "wall-three-2026-05-02-3"]


def test_a_name_that_another_run_takes_meanwhile_is_left_to_it(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    now = datetime(2026, 5, 2, tzinfo=UTC)
    free = iter(["wall", "wall", "wall-2"])
    monkeypatch.setattr(sets, "_free", lambda _: tmp_path / next(free))
    write_set("wall", None, {"a": b"theirs"}, now)
    assert write_set("wall", None, {"a": b"ours"}, now).name == "wall-2"
    assert (tmp_path / "wall" / "a").read_bytes() == b"theirs"


def test_a_folder_that_holds_an_outcome_is_not_written_over(folder):
    before = (folder / "outcome.json").read_bytes()
    with pytest.raises(BadInput, match=r"holds files already, such as 'outcome\.json'"):
        write_set("b", folder, {"outcome.json": b"x"})
    assert (folder / "outcome.json").read_bytes() == before


def test_a_failed_write_leaves_nothing(tmp_path, monkeypatch):
    monkeypatch.setattr("pathlib.Path.rename", lambda *_: (_ for _ in ()).throw(OSError(28, "disk full")))
    with pytest.raises(BadInput, match="disk full"):
        write_set("b", tmp_path / "out", {"a": b"x"})
    assert list(tmp_path.iterdir()) == []


def test_a_comparison_adds_up(outcome):
    document = compare([("a", outcome, outcome.sets[0]), ("b", outcome, outcome.sets[1])])
    pair = document["pairs"][0]
    assert pair["points"] == pytest.approx(sum(pair["rules"].values()), abs=1e-6)
    assert len(pair["shared"]) + len(pair["only_first"]) == 3
    assert sum(points_by_rule(outcome.sets[0]).values()) == pytest.approx(outcome.sets[0].score, abs=1e-6)


def test_sets_of_one_outcome_compare_without_a_warning(outcome):
    both = [("a", outcome, outcome.sets[0]), ("b", outcome, outcome.sets[1])]
    assert compare(both)["pairs"][0]["warnings"] == []


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda made: {"brief": made.brief | {"size": 4}}, "different briefs (size)"),
        (lambda made: {"brief": made.brief | {"weights": made.brief["weights"] | {"tone": 9}}}, "(weights.tone)"),
        (lambda made: {"catalog": "elsewhere"}, "elsewhere"),
        (lambda made: {"catalog_frames": made.catalog_frames + 1}, "frames for one and"),
    ],
)
def test_another_brief_or_shoot_is_warned_of(outcome, change, words):
    other = outcome.model_copy(update=change(outcome))
    (warning,) = compare([("a", outcome, outcome.sets[0]), ("b", other, other.sets[0])])["pairs"][0]["warnings"]
    assert words in warning


def test_another_title_changes_no_point(outcome):
    other = outcome.model_copy(update={"brief": outcome.brief | {"title": "A day at the lake"}})
    assert compare([("a", outcome, outcome.sets[0]), ("b", other, other.sets[0])])["pairs"][0]["warnings"] == []


def test_one_set_is_no_comparison(outcome):
    with pytest.raises(BadInput, match="at least two"):
        compare([("a", outcome, outcome.sets[0])])


@pytest.mark.parametrize("number", ["#²", "#-1", "#" + "9" * 5000, "#1.5"])
def test_a_number_that_is_none_is_told(folder, number):
    with pytest.raises((BadInput, OSError), match=r"no outcome here|there is no set 999999|File name too long"):
        load_set(f"{folder}{number}")


@pytest.mark.parametrize("word", ["NaN", "Infinity", "-Infinity", "1e999"])
def test_a_number_that_json_has_no_word_for_is_told(folder, word):
    text = (folder / "outcome.json").read_text(encoding="utf-8")
    (folder / "outcome.json").write_text(re.sub(r'"score":[-0-9.e]+', f'"score":{word}', text, count=1))
    with pytest.raises(BadInput, match="not an outcome that this version reads"):
        load_outcome(folder)


@pytest.mark.skipif(os.name != "posix", reason="this system has no endless device")
def test_an_outcome_that_never_ends_is_told(tmp_path, monkeypatch):
    monkeypatch.setattr(sets, "_KEPT", sets._KEPT._replace(most=1000))
    (tmp_path / "outcome.json").symlink_to("/dev/zero")
    with pytest.raises(BadInput, match="more than 1,000 bytes"):
        load_outcome(tmp_path)

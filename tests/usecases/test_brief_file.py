"""Briefs written as TOML are read back as they were."""

from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.domain.brief import Brief
from setsolver.errors import BadInput
from setsolver.usecases.brief_file import brief_text_of, save_brief
from setsolver.usecases.briefs import brief_names, load_brief, parse_brief
from tests.rules.builders import make_brief

TASTES = files("setsolver") / "tastes"


@pytest.mark.parametrize("name", brief_names())
def test_the_briefs_that_come_with_it_survive(name):
    brief = load_brief(name)
    assert parse_brief(brief_text_of(brief)) == brief


@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=40), st.floats(0.1, 900))
def test_any_text_and_number_survives(text, cm):
    brief = make_brief(says=text, print_cm=cm, captions={f"a/{text}.jpg": text})
    assert parse_brief(brief_text_of(brief)) == brief


def test_tables_and_slots_survive():
    brief = Brief.model_validate(
        {
            "name": "all of it",
            "size": 5,
            "slot": [{"role": "wide", "print_cm": 60}, {"match": "path:kiln/*", "count": [4, 4], "aspect": "2:3"}],
            "frames": {"include": ["a b.jpg"], "exclude": ['q"uote/*']},
            "wall": {"width": 400, "height": 250},
        }
    )
    assert parse_brief(brief_text_of(brief)) == brief


def test_weights_are_those_of_the_brief_whatever_its_taste_says(tmp_path):
    (tmp_path / "mine.toml").write_text((TASTES / "default.toml").read_text("utf-8"), encoding="utf-8")
    brief = make_brief(taste=str(tmp_path / "mine.toml"))
    text = brief_text_of(brief)
    assert all(f"{name} = " in text for name in type(brief.weights).model_fields)
    assert parse_brief(text).weights == brief.weights


def test_a_file_that_is_there_is_not_overwritten(tmp_path):
    file = tmp_path / "hall.toml"
    save_brief(make_brief(), file, "a note")
    assert file.read_text().startswith("# a note\n")
    assert load_brief(file) == make_brief()
    with pytest.raises(BadInput, match="exists already"):
        save_brief(make_brief(), file)


@pytest.mark.parametrize("absolute", [True, False])
def test_a_taste_beside_the_brief_is_found_from_wherever_the_brief_is_written_and_read(tmp_path, monkeypatch, absolute):
    """A board keeps its working copy beside the index; what `suggest --save-brief` writes lies where it is wished."""
    briefs, elsewhere = tmp_path / "briefs", tmp_path / "elsewhere"
    for folder in (briefs, elsewhere):
        folder.mkdir()
    (briefs / "mine.toml").write_text('name = "mine"\n[weights]\nappeal = 90\n', encoding="utf-8")
    (briefs / "b.toml").write_text('name = "b"\nsize = 3\ntaste = "mine.toml"\n', encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    brief = load_brief(briefs / "b.toml" if absolute else "briefs/b.toml")
    save_brief(brief, elsewhere / "written.toml")
    monkeypatch.chdir(elsewhere)
    assert load_brief("written.toml") == brief
    assert brief.weights.appeal == 90

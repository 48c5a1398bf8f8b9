"""Tastes: the two that come along, one's own, and how a brief takes its weights."""

import re

import pytest

from setsolver.cli.main import verbs
from setsolver.domain.brief import Weights
from setsolver.domain.taste import Evidence, Taste
from setsolver.errors import BadBrief, BadInput, BadTaste
from setsolver.rules.registry import weight_names
from setsolver.usecases.brief_file import save_brief
from setsolver.usecases.briefs import brief_names, load_brief, parse_brief
from setsolver.usecases.tastes import load_taste, save_taste, taste_names
from tests.rules.brought import bring

__all__ = ["bring"]

OWN = 'name = "mine"\n[weights]\nappeal = 90\nvariety = 3\n'


@pytest.mark.parametrize("name", taste_names())
def test_a_taste_that_comes_along_weighs_every_term_and_says_what_it_rests_on(name):
    taste = load_taste(name)
    assert taste.name == name
    assert set(taste.weights) == set(weight_names())
    assert taste.evidence.choices > 100
    assert 0.5 < taste.evidence.agreement < 1


def test_the_default_taste_is_the_default_of_a_brief_made_in_python():
    assert taste_names() == ("default", "story")
    assert Weights(**load_taste().weights) == Weights()


def test_a_story_wants_people_more_than_a_wall_and_may_show_things_farther_apart():
    """As judges ranked both (benchmarks/taste/fit_ranked.py) and sets were picked (fit_doing.py, held_shoots.py)."""
    wall, story = load_taste().weights, load_taste("story").weights
    assert story["people"] > wall["people"] > 0
    assert story["doing"] > wall["doing"] > 0
    assert story["picked"] > wall["picked"] == 0
    assert story["content"] < wall["content"]
    assert {key for key in wall if wall[key] != story[key]} == {
        "people",
        "doing",
        "picked",
        "content",
        "solid",
        "variety",
    }


def test_a_brief_that_names_none_takes_the_default_and_its_own_weights_win():
    brief = parse_brief('name = "b"\nsize = 3\n[weights]\nappeal = 7\n')
    assert brief.taste == "default"
    assert brief.weights == Weights(appeal=7)


@pytest.mark.parametrize("name", brief_names())
def test_the_briefs_that_come_along_leave_weights_to_the_taste(name):
    brief = load_brief(name)
    assert brief.weights == Weights(**load_taste(brief.taste).weights)
    assert brief.taste == ("story" if name == "story-eight" else "default")


def test_a_taste_of_ones_own_lies_beside_the_brief(tmp_path):
    (tmp_path / "mine.toml").write_text(OWN, encoding="utf-8")
    (tmp_path / "b.toml").write_text('name = "b"\nsize = 3\ntaste = "mine.toml"\n', encoding="utf-8")
    brief = load_brief(tmp_path / "b.toml")
    assert (brief.weights.appeal, brief.weights.variety) == (90, 3)


BROUGHT = """
from setsolver.rules import GainTerm

class Odd(GainTerm):
    name, key = "odd", "weights.odd"

    def apply(self, draft):
        pass

    def says(self, member):
        return ""
"""


@pytest.mark.parametrize("gives", ["", "odd = 4\n"])
def test_a_written_brief_needs_no_taste_whatever_terms_packages_bring(tmp_path, bring, gives):
    """Where the taste says nothing of a brought term, too; installed before the brief was written, or after."""
    bring(BROUGHT)
    assert "odd" in weight_names()
    (tmp_path / "mine.toml").write_text(OWN + gives, encoding="utf-8")
    (tmp_path / "b.toml").write_text('name = "b"\nsize = 3\ntaste = "mine.toml"\n', encoding="utf-8")
    brief = load_brief(tmp_path / "b.toml")
    assert brief.weights.of("odd") == (4 if gives else 0)
    save_brief(brief, tmp_path / "written.toml")
    (tmp_path / "mine.toml").write_text('name = "another"\n[weights]\nodd = 9\nappeal = 1\n', encoding="utf-8")
    assert load_brief(tmp_path / "written.toml") == brief
    (tmp_path / "mine.toml").unlink()
    assert load_brief(tmp_path / "written.toml") == brief


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('name = "m"\n[weights]\npallete = 3\n', '"pallete" is the weight of no term; did you mean "palette"'),
        ('name = "m"\n[weights]\nappeal = -3\n', "weights.appeal"),
        ('name = "m"\nweight = 3\n', "weight"),
        ("name = \n", "not TOML"),
    ],
    ids=["unknown term", "negative", "unknown key", "no TOML"],
)
def test_a_taste_that_does_not_hold_says_why(tmp_path, text, says):
    (tmp_path / "m.toml").write_text(text, encoding="utf-8")
    with pytest.raises(BadTaste, match=says):
        load_taste(tmp_path / "m.toml")


def test_a_way_out_names_no_verb_that_is_not_there(tmp_path):
    (tmp_path / "m.toml").write_text('name = "m"\nweight = 3\n', encoding="utf-8")
    with pytest.raises(BadTaste) as told:
        load_taste(tmp_path / "m.toml")
    named = re.findall(r"`setsolver (\S+)", str(told.value))
    assert named
    assert set(named) <= set(verbs())


def test_a_brief_with_a_taste_that_is_not_there_says_so_with_its_line():
    with pytest.raises(BadBrief, match=r'line 3: taste: "defualt" is neither a file nor a taste .*"default"'):
        parse_brief('name = "b"\nsize = 3\ntaste = "defualt"\n', "b")


def test_what_is_written_reads_as_it_was_and_nothing_is_written_over(tmp_path):
    taste = Taste(
        name="mine",
        says='warm "and" close',
        weights={"appeal": 61.5, "light": 0.125},
        evidence=Evidence(choices=12, shoots=3, agreement=0.75),
    )
    path = save_taste(taste, tmp_path / "mine")
    assert load_taste(path) == taste
    with pytest.raises(BadInput):
        save_taste(taste, path)
    bare = Taste(name="bare")
    assert load_taste(save_taste(bare, tmp_path / "bare")) == bare

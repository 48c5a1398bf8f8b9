"""Briefs by name and file: those that come along, errors with lines, new ones, and the schema."""

import json
import tomllib
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.errors import BadBrief, BadInput
from setsolver.rules import assemble
from setsolver.usecases.brief_lines import key_lines, line_of
from setsolver.usecases.brief_words import allowed
from setsolver.usecases.briefs import brief_names, brief_schema, brief_text, load_brief, new_brief, parse_brief
from tests.rules.builders import make_shoot

BAD = """\
name = "hall"
size = "3"
apsect = "1:1"

[roles]
wid = [1, 2]
medium = [3, 2]
[roles.kiln]
match = "kiln"
count = [1, 1]
[tone]
treatment = "sepia"
reach = { blak = 3, mid = -1 }
"""


def complaint(text):
    with pytest.raises(BadBrief) as caught:
        parse_brief(text, "hall.toml")
    return str(caught.value)


FOR_PRINTS = ("lead-and-four", "mono-pair", "spread", "story-eight", "wall-nine", "wall-three")
FOR_BOOKS = ("event-album", "place-album", "story-album")


def test_six_for_prints_and_three_for_books_are_there():
    assert brief_names() == tuple(sorted(FOR_PRINTS + FOR_BOOKS))
    assert [name for name in brief_names() if load_brief(name).album is not None] == list(FOR_BOOKS)


@pytest.mark.parametrize("name", brief_names())
def test_each_that_comes_along_is_named_like_its_file_and_says_what_it_is_for(name):
    brief = load_brief(name)
    assert brief.name == name
    assert brief.says.endswith(".")
    assert len(brief.says) > 40


@pytest.mark.parametrize("name", FOR_PRINTS)
def test_each_that_comes_along_works_on_a_plain_shoot(name):
    brief = load_brief(name)
    problem = assemble(make_shoot(24), brief).problem
    assert problem.size == brief.size


def test_kinds_that_they_stand_for():
    kinds = {name: load_brief(name).layout.kind for name in FOR_PRINTS}
    assert kinds == {
        "lead-and-four": "cluster",
        "mono-pair": "row",
        "spread": "pair",
        "story-eight": "story",
        "wall-nine": "grid",
        "wall-three": "row",
    }
    assert load_brief("mono-pair").tone.treatment == "mono"


def test_every_fault_is_told_at_once_with_its_line_and_what_is_allowed():
    lines = complaint(BAD).splitlines()
    assert lines[0] == "hall.toml: 8 faults"
    told = "\n".join(lines[1:])
    assert '  line 2: size = "3"; allowed: a whole number from 1 to 200' in told
    assert '  line 3: "apsect" is no key of a brief; did you mean "aspect"? Its keys are name, says,' in told
    assert '  line 6: roles.wid: nobody defined this role; did you mean "wide"? Use wide, medium or close' in told
    assert "  line 7: roles.medium.count = [3, 2]: the least, 3, is above the most, 2" in told
    assert '  line 9: roles.kiln.match = "kiln"; allowed: "keyword:WORD" or "path:GLOB"' in told
    assert '  line 12: tone.treatment = "sepia"; allowed: "colour" or "mono"' in told
    assert '  line 13: "blak" is no key of [tone.reach]; did you mean "black"?' in told
    assert "  line 13: tone.reach.mid = -1; allowed: a number from 0 to 100" in told


def test_one_fault_is_one_line():
    assert (
        complaint('name = "hall"\nsize = 0\n') == "hall.toml: line 2: size = 0; allowed: a whole number from 1 to 200"
    )


def test_what_is_missing_is_told():
    assert "size is missing; allowed: a whole number from 1 to 200" in complaint('name = "hall"')


def test_text_that_is_no_toml_is_told_with_its_line():
    assert "not TOML: Invalid value (at line 2, column 8)" in complaint('name = "hall"\nsize = three\n')


def test_roles_against_the_size_are_told_with_the_way_out():
    text = 'name = "hall"\nsize = 3\n[roles]\nwide = [2, 2]\nclose = [2, 2]\n'
    assert complaint(text) == "hall.toml: line 3: the roles ask for at least 4 frames, but size is 3; raise size to 4"


def test_an_unknown_name_is_told_with_the_nearest_and_all_names():
    with pytest.raises(
        BadBrief,
        match=r'"wal-tree" is neither .* did you mean "wall-three"\? The briefs are event-album, lead-and-four',
    ):
        load_brief("wal-tree")


def test_files_that_cannot_be_read_are_told(tmp_path):
    (tmp_path / "latin.toml").write_bytes(b'name = "caf\xe9"')
    with pytest.raises(BadBrief, match="not a text in UTF-8"):
        load_brief(tmp_path / "latin.toml")
    with pytest.raises(BadBrief, match="cannot be read: Is a directory"):
        load_brief(tmp_path)
    with pytest.raises(BadBrief, match="cannot be read: embedded null"):
        load_brief("a\0b")


def test_a_new_brief_is_commented_named_after_its_file_and_holds(tmp_path):
    path = new_brief(tmp_path / "hall", like="wall-nine")
    assert path == tmp_path / "hall.toml"
    assert load_brief(path) == load_brief("wall-nine").model_copy(update={"name": "hall"})
    assert path.read_text().count("#") > 10
    assert load_brief(tmp_path / "hall").name == "hall"
    assert [entry.name for entry in tmp_path.iterdir()] == ["hall.toml"]


def test_a_new_brief_never_overwrites(tmp_path):
    path = tmp_path / "hall.toml"
    path.write_text("mine")
    with pytest.raises(BadInput, match="exists already and is not overwritten"):
        new_brief(path)
    assert path.read_text() == "mine"
    assert [entry.name for entry in tmp_path.iterdir()] == ["hall.toml"]


def test_a_new_brief_in_no_folder_or_under_no_name_is_refused(tmp_path):
    with pytest.raises(BadInput, match=r"cannot write .* No such file"):
        new_brief(tmp_path / "nowhere" / "hall.toml")
    with pytest.raises(BadBrief, match=r'name = "b\?d"; allowed: letters'):
        new_brief(tmp_path / "b?d")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["", ".", "/"])
def test_a_new_brief_needs_a_name(name):
    with pytest.raises(BadInput, match="names no file"):
        new_brief(Path(name))


@pytest.mark.parametrize("name", ["a\\b", 'a"b', "a\\1b", "a\\g<9>b"])
def test_names_that_mean_something_to_toml_or_to_a_pattern_are_told(tmp_path, name):
    with pytest.raises(BadBrief, match="allowed: letters"):
        new_brief(tmp_path / name)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "text",
    ["a = " + "[" * 20_000, "a." * 10_000 + "b = 1", "size = " + "9" * 10_000, "#" * 300_000, "x = 1\n" * 20_000],
    ids=["arrays", "dots", "digits", "comments", "lines"],
)
def test_deep_long_and_huge_texts_are_told(tmp_path, text):
    (tmp_path / "b.toml").write_text(text)
    with pytest.raises(BadInput) as told:
        load_brief(tmp_path / "b.toml")
    assert len(str(told.value)) < 50_000


def test_lines_of_tables_dotted_and_quoted_keys():
    text = (
        '# c\na = 1\n[tone]\nreach.mid = 2 # = x\n"b c" = [\n  1,\n]\n'
        '[ roles . kiln ]\nmatch = """\na = 1\n"""\nc = 3\n'
    )
    assert tomllib.loads(text)
    lines = key_lines(text)
    assert lines == {
        ("a",): 2,
        ("tone",): 3,
        ("tone", "reach"): 4,
        ("tone", "reach", "mid"): 4,
        ("tone", "b c"): 5,
        ("roles", "kiln"): 8,
        ("roles", "kiln", "match"): 9,
        ("roles", "kiln", "c"): 12,
    }
    assert line_of(lines, ("tone", "reach", "white")) == 4
    assert line_of(lines, ("roles", "kiln", "count", 0)) == 8
    assert line_of(lines, ("size",)) is None


@given(st.text(max_size=200))
def test_no_text_makes_the_line_finder_stumble(text):
    assert all(line >= 1 for line in key_lines(text).values())


def test_what_is_allowed_comes_from_the_model():
    assert allowed(("print_cm",)) == "a number above 0 and at most 1000"
    assert allowed(("repeats", "scene")) == "a whole number from 1"
    assert allowed(("layout", "kind")) == ('"cluster", "column", "grid", "line", "pair", "row", "steps" or "story"')
    assert allowed(("layout",)) == "a table with the keys kind, columns, gap_cm, order and align"
    assert allowed(("roles", "close")).endswith("or a table with the keys count and match")
    assert allowed(("roles", "wide", "count", 0)) == "a whole number from 0 to 200"


def test_the_schema_in_the_package_is_that_of_the_model():
    kept = files("setsolver") / "schemas" / "brief.schema.json"
    assert json.loads(kept.read_text("utf-8")) == brief_schema()


@pytest.mark.parametrize("name", brief_names())
def test_briefs_fit_the_schema(name):
    jsonschema.Draft202012Validator.check_schema(brief_schema())
    jsonschema.validate(tomllib.loads(brief_text(name)), brief_schema())
    jsonschema.validate(load_brief(name).model_dump(mode="json"), brief_schema())


def test_the_schema_refuses_what_the_model_refuses():
    validator = jsonschema.Draft202012Validator(brief_schema())
    assert not validator.is_valid(tomllib.loads(BAD))


def test_a_set_that_does_not_fit_its_wall_is_told_at_the_wall():
    text = 'name = "hall"\nsize = 3\nprint_cm = 60\n[wall]\nwidth = 160\nheight = 250\n'
    said = complaint(text)
    assert said.startswith(
        "hall.toml: line 4: the set takes 192.0 by 40.0 cm over all, but the wall is 160.0 by 250.0 cm"
    )
    assert "it fits with print_cm = 49.3 or less" in said  # 3 x 49.3 + 2 x 6 = 159.9


def test_an_unknown_layout_is_told_with_all_kinds():
    said = complaint('name = "hall"\nsize = 3\n[layout]\nkind = "spiral"\n')
    assert said == (
        'hall.toml: line 4: layout.kind = "spiral"; allowed: cluster, column, grid, line, pair, row, steps, story'
    )


def test_a_layout_that_hangs_on_no_wall_is_told_at_the_layout_though_there_is_a_wall():
    said = complaint('name = "hall"\nsize = 2\n[wall]\nwidth = 160\nheight = 250\n[layout]\nkind = "pair"\n')
    assert said.startswith('hall.toml: line 7: layout.kind = "pair" stands on two facing pages')


def test_faults_of_slots_are_told_with_their_own_lines():
    text = 'name = "hall"\nsize = 2\n[[slot]]\nrole = "wide"\n\n[[slot]]\nrole = "medium"\ncuont = 1\nprint_cm = -4\n'
    told = complaint(text)
    assert 'line 8: "cuont" is no key of a [[slot]]; did you mean "count"?' in told
    assert "line 9: slot.2.print_cm = -4; allowed: a number above 0 and at most 1000" in told


def test_a_slot_that_nobody_may_play_is_told_with_the_line_where_it_begins():
    assert "line 4: slot.1" in complaint('name = "hall"\nsize = 1\n\n[[slot]]\ncount = 1\n')

"""``setsolver brief``: text, JSON and errors of each verb."""

import json

import pytest
from click.testing import CliRunner

from setsolver.cli.brief import command
from setsolver.errors import BadBrief, BadInput, SetsolverError
from setsolver.usecases.briefs import brief_names, brief_schema, brief_text, load_brief


def run(*arguments):
    """Return what is printed; the error itself where the command ends in one of ours."""
    result = CliRunner().invoke(command, arguments)
    if isinstance(result.exception, SetsolverError):
        raise result.exception
    assert result.exit_code == 0, result.output
    return result.output


@pytest.fixture
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_list_names_every_brief_with_its_sentence():
    lines = run("list").splitlines()
    assert [line.split()[0] for line in lines] == list(brief_names())
    assert lines[-1].endswith(load_brief("wall-three").says)


def test_list_as_json():
    document = json.loads(run("list", "--json"))
    assert document["format"] == "setsolver/briefs"
    assert [entry["name"] for entry in document["briefs"]] == list(brief_names())


def test_show_prints_the_brief_as_written():
    assert run("show", "mono-pair") == brief_text("mono-pair")


def test_show_as_json_fills_in_defaults():
    document = json.loads(run("show", "mono-pair", "--json"))
    assert document["format"] == "setsolver/brief"
    assert document["brief"] == load_brief("mono-pair").model_dump(mode="json")


def test_show_schema():
    assert json.loads(run("show", "--schema")) == brief_schema()


def test_check_says_the_slots_of_a_brief_that_has_no_roles(here):
    slots = '[[slot]]\nname = "lead"\nrole = "wide"\nprint_cm = 40\n[[slot]]\nrole = "close"\ncount = [1, 2]\n'
    (here / "hall.toml").write_text(
        f'name = "hall"\nsize = 3\naspect = "3:2"\nprint_cm = 20\n{slots}', encoding="utf-8"
    )
    says = run("check", "hall.toml")
    assert "3 frames (1 lead, 1-2 close)" in says
    assert "prints: lead 3:2 of 40 cm; close 3:2 of 20 cm" in says


def test_check_says_what_book_an_album_s_brief_makes(here):
    head = 'name = "book"\n[album]\npage_cm = [21, 28.5]\ndensity = [1, 2.5]\n'
    for spreads, says in (("[20, 40]", "20 to 40"), ("[24, 24]", "24")):
        (here / "book.toml").write_text(f"{head}spreads = {spreads}\n", encoding="utf-8")
        words = f"an album of {says} spreads, 1 to 2.5 pictures each, pages of 21 by 28.5 cm"
        assert run("check", "book.toml") == f"book.toml holds: {words}\n"


def test_new_then_check(here):
    assert run("new", "hall-three").startswith("hall-three.toml: a copy of wall-three")
    assert run("check", "hall-three.toml").startswith(
        "hall-three.toml holds: 3 frames at 3:2 (0-2 wide, 0-2 medium, 0-2 close)"
    )
    assert json.loads(run("check", "hall-three.toml", "--json"))["brief"]["name"] == "hall-three"


def test_new_like_another(here):
    run("new", "stairs.toml", "--like", "wall-nine")
    assert load_brief(here / "stairs.toml").size == 9


def test_new_never_overwrites(here):
    run("new", "hall")
    with pytest.raises(BadInput, match="exists already") as caught:
        run("new", "hall")
    assert caught.value.exit_code == 2


def test_check_tells_faults_with_exit_code_2(here):
    (here / "bad.toml").write_text('name = "hall"\nsize = 0\ncolour = 1\n')
    with pytest.raises(BadBrief, match=r"(?s)2 faults\n  line 2: size = 0; .*line 3: \"colour\" is no key") as caught:
        run("check", "bad.toml")
    assert caught.value.exit_code == 2

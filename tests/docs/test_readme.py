"""The documents say what the code does: commands, verbs, options, the brief, and the names of files."""

import re
import tomllib
from pathlib import Path

import click
import pytest
from markdown_it import MarkdownIt

from setsolver.cli.main import cli, verbs
from setsolver.domain.brief import Brief
from setsolver.usecases.briefs import brief_text

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def between(mark):
    found = re.search(rf"<!-- {re.escape(mark)} -->\n```\w*\n(.*?)\n```\n<!-- end -->", README, re.DOTALL)
    assert found, f"README.md has no block between <!-- {mark} --> and <!-- end -->"
    return found[1]


@pytest.mark.parametrize("verb", verbs())
def test_every_verb_stands_in_the_table(verb):
    assert f"| `setsolver {verb}" in README


def test_the_two_commands_set_up_and_run_what_they_say():
    assert "setsolver suggest demo_catalog" in between("command: main job")
    assert "pytest" in between("command: tests")


def test_ci_runs_the_test_command_of_the_readme():
    assert "command: tests" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


def test_the_brief_in_the_readme_is_the_one_that_comes_with_it():
    assert between("brief: wall-three") == brief_text("wall-three").rstrip()
    assert Brief.model_validate(tomllib.loads(between("brief: wall-three"))).name == "wall-three"


def test_options_named_in_the_documents_exist():
    context = click.Context(cli)
    commands = [cli.get_command(context, verb) for verb in verbs()]
    groups = [command for command in commands if isinstance(command, click.Group)]
    commands += [sub for group in groups for sub in group.commands.values()]
    known = {option for command in commands for parameter in command.params for option in parameter.opts}
    named = set(re.findall(r"(?<![\w-])--[a-z][a-z-]+", README)) - {"--help"}
    assert named <= known, f"not options of any verb: {sorted(named - known)}"


@pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_paths_named_in_the_documents_exist(text):
    named = set(re.findall(r"`((?:setsolver|tests|benchmarks|demo_catalog)/[\w./-]*)`", text))
    assert named
    assert [path for path in sorted(named) if not (ROOT / path).exists()] == []


def test_pictures_in_the_readme_exist_and_have_words():
    for words, path in re.findall(r"!\[(.*?)\]\((.*?)\)", README):
        assert (ROOT / path).is_file(), path
        assert len(words) > 10, path


@pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_every_code_mark_in_the_documents_is_closed(text):
    words = [part.content for token in MarkdownIt().parse(text) for part in token.children or [] if part.type == "text"]
    assert [word for word in words if "`" in word] == []


def test_the_brief_stands_in_the_readme_once():
    assert README.count('name = "wall-three"') == 1

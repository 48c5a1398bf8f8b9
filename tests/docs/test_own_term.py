"""The term of DEVELOPERS.md, installed as it is shown there, through the command line."""

import json
import os
import re
import subprocess
import sys
import tomllib
from datetime import datetime
from pathlib import Path

import pytest

from tests.cli.conftest import brief_file, scanned  # noqa: F401 - fixtures
from tests.cli.shoot import BRIEF

ROOT = Path(__file__).parents[2]
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def shown(mark):
    found = re.search(rf"<!-- {re.escape(mark)} -->\n```\w*\n(.*?)```\n<!-- end -->", DEVELOPERS, re.DOTALL)
    assert found, f"DEVELOPERS.md has no block between <!-- {mark} --> and <!-- end -->"
    return found[1]


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """Return a folder for the path in which the package lies as an installer leaves it."""
    folder = tmp_path_factory.mktemp("site")
    (folder / "setsolver_odd.py").write_text(shown("term: odd"), encoding="utf-8")
    project = shown("term: odd, pyproject.toml")
    ((group, entries),) = tomllib.loads(project)["project"]["entry-points"].items()
    lines = "".join(f"{name} = {target}\n" for name, target in entries.items())
    info = folder / "setsolver_odd-1.0.dist-info"
    info.mkdir()
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: setsolver-odd\nVersion: 1.0\n", encoding="utf-8")
    (info / "entry_points.txt").write_text(f"[{group}]\n{lines}", encoding="utf-8")
    return folder


def setsolver(*arguments, path=()):
    """Run the command line as a user does; return the finished process."""
    places = os.pathsep.join([*map(str, path), str(ROOT)])
    environment = os.environ | {"PYTHONPATH": places}
    command = [sys.executable, "-m", "setsolver", *map(str, arguments)]
    return subprocess.run(command, env=environment, capture_output=True, text=True, check=False)


def test_its_weight_counts_in_a_brief_and_its_words_stand_in_the_ledger(scanned, installed, tmp_path):  # noqa: F811
    brief = tmp_path / "odd.toml"
    brief.write_text(BRIEF.replace("[weights]", "[weights]\nodd = 500"), encoding="utf-8")
    arguments = ("suggest", scanned, "--brief", brief, "--out", tmp_path / "o", "--no-open", "--json", "-k", 0)
    done = setsolver(*arguments, path=[installed])
    assert done.returncode == 0, done.stderr
    best = json.loads(done.stdout)["sets"][0]
    odd = [datetime.fromisoformat(frame["time"]).second % 2 for frame in best["frames"]]
    assert best["terms"]["odd"] == sum(odd) == 3
    assert [line["points"] for line in best["ledger"] if line["rule"] == "odd"] == [500.0] * 3
    assert {line["says"] for line in best["ledger"] if line["rule"] == "odd"} == {"taken at an odd second"}
    assert sum(line["points"] for line in best["ledger"]) == pytest.approx(best["score"], abs=1e-6)


def test_without_the_package_its_weight_is_an_error_with_its_line(scanned, tmp_path):  # noqa: F811
    brief = tmp_path / "odd.toml"
    brief.write_text(BRIEF.replace("[weights]", "[weights]\nodd = 500"), encoding="utf-8")
    done = setsolver("brief", "check", brief)
    assert done.returncode == 2
    line = brief.read_text("utf-8").splitlines().index("odd = 500") + 1
    assert f'line {line}: "odd" is no key of [weights]' in done.stderr


def test_its_rule_takes_out_who_breaks_it_and_is_told_where_its_value_is_none(scanned, installed, tmp_path):  # noqa: F811
    brief = tmp_path / "odd.toml"
    brief.write_text(BRIEF.replace("[weights]", "[rules]\nodd_only = true\n[weights]"), encoding="utf-8")
    arguments = ("suggest", scanned, "--brief", brief, "--out", tmp_path / "o", "--no-open", "--json", "-k", 0)
    done = setsolver(*arguments, path=[installed])
    assert done.returncode == 0, done.stderr
    outcome = json.loads(done.stdout)
    assert {datetime.fromisoformat(frame["time"]).second % 2 for frame in outcome["sets"][0]["frames"]} == {1}
    assert outcome["brief"]["rules"] == {"odd_only": True}
    (said,) = (out for out in outcome["ruled_out"] if out["rule"] == "odd_only")
    assert said["frames"] > 0
    for value, told in (("3", "rules.odd_only = 3; allowed: true or false"), ("[1]", "rules.odd_only = [1]")):
        brief.write_text(BRIEF.replace("[weights]", f"[rules]\nodd_only = {value}\n[weights]"), encoding="utf-8")
        done = setsolver("brief", "check", brief, path=[installed])
        assert done.returncode == 2
        assert f"line {brief.read_text('utf-8').splitlines().index(f'odd_only = {value}') + 1}: {told}" in done.stderr
    brief.write_text(BRIEF.replace("[weights]", "[rules]\nodd_onyl = true\n[weights]"), encoding="utf-8")
    told = setsolver("brief", "check", brief, path=[installed]).stderr
    assert '"odd_onyl" is no key of [rules]; did you mean "odd_only"?' in told
    assert "no installed package brings a rule" in setsolver("brief", "check", brief).stderr

"""The term of DEVELOPERS.md, installed as it is shown there, through the command line."""

import json
import os
import re
import subprocess
import sys
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
    group, entry = re.search(r'\[project\.entry-points\."([\w.]+)"\]\n(\w+) = "([\w:]+)"', project).group(1, 0)
    name, target = entry.splitlines()[1].split(" = ")
    info = folder / "setsolver_odd-1.0.dist-info"
    info.mkdir()
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: setsolver-odd\nVersion: 1.0\n", encoding="utf-8")
    (info / "entry_points.txt").write_text(f"[{group}]\n{name} = {json.loads(target)}\n", encoding="utf-8")
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

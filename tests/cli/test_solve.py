"""``setsolver solve``: text, document and exit codes."""

import json
import subprocess
import sys

import numpy as np
import pytest
from click.testing import CliRunner

from setsolver.cli.main import cli
from setsolver.errors import BadInput
from setsolver.usecases.problem_file import save
from tests.solver.small import best_by_trying, small_problem
from tests.solver.test_conflict import dark_and_bright

FEASIBLE_SEED = 3  # of small_problem; asserted below


def run(*arguments):
    return CliRunner().invoke(cli, ["solve", *map(str, arguments)], standalone_mode=False)


@pytest.fixture
def feasible(tmp_path):
    problem = small_problem(FEASIBLE_SEED)
    save(problem, tmp_path / "p.npz")
    return tmp_path / "p.npz", best_by_trying(problem)


@pytest.fixture
def infeasible(tmp_path):
    save(dark_and_bright(), tmp_path / "p.npz")
    return tmp_path / "p.npz"


def test_the_document_of_a_solved_problem(feasible):
    path, best = feasible
    result = run(path, "--json")
    document = json.loads(result.stdout)
    assert result.return_value == 0
    assert (document["format"], document["version"], document["status"]) == ("setsolver/solution", 1, "optimal")
    first = document["solutions"][0]
    assert first["score"] == pytest.approx(best)
    assert first["proven"] is True
    assert first["bound"] - first["score"] <= 1e-6 * max(1, abs(best))
    assert set(first) >= {"kind", "chosen", "roles", "look", "score", "bound", "proven"}
    assert document["conflict"] == []


def test_the_text_of_a_solved_problem(feasible):
    path, best = feasible
    result = run(path)
    assert result.return_value == 0
    assert result.stdout.startswith("optimal: ")
    assert f"Set 1 (best): {best:.4f} points, proven" in result.stdout


def test_no_set_is_exit_code_1_with_the_clash(infeasible):
    result = run(infeasible, "--json")
    document = json.loads(result.stdout)
    assert result.return_value == 1
    assert (document["status"], document["solutions"]) == ("infeasible", [])
    clash = {entry["rule"]: entry for entry in document["conflict"]}
    assert clash["tone_reach[0]"]["loosened"] == pytest.approx(9)
    text = run(infeasible)
    assert text.return_value == 1
    assert "these cannot hold together" in text.stdout
    assert "reach of tone 0 8 -> 9" in text.stdout


def test_alternates_kinds_and_prices(tmp_path):
    path = tmp_path / "p.npz"
    np.savez(path, size=2, gain=np.arange(6.0)[:, None], conflict=[[4, 5]])
    options = (path, "--alternates", 1, "--differ", 2, "--kind", "lead", "--prices")
    document = json.loads(run(*options, "--json").stdout)
    assert [s["chosen"] for s in document["solutions"]] == [[3, 5], [2, 4], [0, 1]]
    assert [s["kind"] for s in document["solutions"]] == ["best", "differs", "lead"]
    assert all(s["proven"] for s in document["solutions"])
    assert [p["points"] for p in document["prices"]] == [pytest.approx(1)]
    text = run(*options).stdout
    assert "Set 3 (another lead frame): 1.0000 points, proven" in text
    assert "What each rule costs" in text


def test_sets_cannot_differ_by_more_than_they_hold(feasible):
    with pytest.raises(BadInput) as told:
        raise run(feasible[0], "--differ", 9).exception
    assert "differ: 9" in str(told.value)


def test_a_missing_file_ends_the_process_with_code_2_and_one_sentence(tmp_path):
    command = [sys.executable, "-m", "setsolver", "solve", str(tmp_path / "none.npz"), "--json"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.startswith("setsolver: cannot read ")
    assert done.stderr.count("\n") == 1

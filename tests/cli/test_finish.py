"""``setsolver finish``: text, JSON and exit codes."""

import json
import re

import pytest

from setsolver.errors import BadInput
from tests.cli.conftest import run
from tests.usecases.finishing import catalog_of, frame, outcome_of


@pytest.fixture
def outcome_file(tmp_path):
    names = catalog_of(tmp_path / "catalog")
    outcome = outcome_of(tmp_path / "catalog", [frame(name, place) for place, name in enumerate(names)])
    file = tmp_path / "outcome.json"
    file.write_text(outcome.model_dump_json(), encoding="utf-8")
    return file


def test_it_says_what_was_made_and_measured(outcome_file, tmp_path):
    code, out, err = run("finish", outcome_file, "--out", tmp_path / "prints")
    assert code == 0
    assert "01-1.tif" in out
    assert "768 x 512" in out
    assert "the look: black 12.0, mid 52.0, white 88.0" in out
    assert re.fullmatch(r"setsolver: no index tells what 1\.jpg, 2\.jpg held .*\n", err)  # and nothing else


def test_json_is_the_document_and_nothing_else(outcome_file, tmp_path):
    code, out, _ = run("finish", outcome_file, "--out", tmp_path / "prints", "--format", "jpeg", "--json")
    assert code == 0
    assert json.loads(out) == json.loads((tmp_path / "prints" / "finish.json").read_text())
    assert [p["file"] for p in json.loads(out)["prints"]] == ["01-1.jpg", "02-2.jpg"]


def test_a_frame_that_cannot_be_printed_is_said_and_the_code_is_2(outcome_file, tmp_path):
    (tmp_path / "catalog" / "2.jpg").unlink()
    code, out, err = run("finish", outcome_file, "--out", tmp_path / "prints")
    assert code == 2
    assert "1 prints in" in out or "1 print in" in out
    assert "2.jpg was not printed: its original is gone" in err


def test_a_catalog_that_has_moved_is_named(outcome_file, tmp_path):
    (tmp_path / "catalog").rename(tmp_path / "archive")
    code, _, _ = run("finish", outcome_file, "--out", tmp_path / "prints", "--catalog", tmp_path / "archive", "--proof")
    assert code == 0
    assert (tmp_path / "prints" / "01-1.jpg").is_file()


def test_without_its_catalog_it_is_bad_input(outcome_file, tmp_path):
    with pytest.raises(BadInput, match="does not exist"):
        run("finish", outcome_file, "--out", tmp_path / "prints", "--catalog", tmp_path / "nowhere")


def test_a_profile_that_is_none_is_bad_input(outcome_file, tmp_path):
    (tmp_path / "a.icc").write_bytes(b"text")
    with pytest.raises(BadInput, match="no ICC profile"):
        run("finish", outcome_file, "--out", tmp_path / "prints", "--profile", tmp_path / "a.icc")
    assert not (tmp_path / "prints").exists()

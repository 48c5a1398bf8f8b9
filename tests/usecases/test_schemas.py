"""Schemas in the package are those of the models, and documents hold to them."""

import json
import sys
from dataclasses import replace

import jsonschema
import pytest
from click.testing import CliRunner

from setsolver.cli.main import cli
from setsolver.domain.answers import ANSWERS
from setsolver.domain.measures import Appeal, Kind, Upright
from setsolver.taste.learning import Learned, Move
from setsolver.usecases import schemas
from setsolver.usecases.bare import answer
from setsolver.usecases.check import check
from setsolver.usecases.compare import compare
from setsolver.usecases.effort import Effort
from setsolver.usecases.frames import frames_document
from setsolver.usecases.gaps import gaps
from setsolver.usecases.learn import learned_document
from setsolver.usecases.schemas import FOLDER, SCHEMAS, write_schemas
from setsolver.usecases.suggest import suggest
from setsolver.usecases.tastes import load_taste
from tests.rules.builders import make_brief, make_face, make_frame, make_shoot, make_snapshot
from tests.solver.small import small_problem
from tests.solver.test_conflict import dark_and_bright
from tests.usecases.asked import why

ANEW = "a model has changed; write the schemas anew with `python -m setsolver.usecases.schemas`"


@pytest.mark.parametrize("name", SCHEMAS)
def test_the_schema_in_the_package_is_that_of_the_model(name):
    assert json.loads((FOLDER / name).read_text("utf-8")) == SCHEMAS[name](), ANEW


def test_writing_gives_the_files_of_the_package(tmp_path):
    write_schemas(tmp_path)
    assert {path.name for path in tmp_path.iterdir()} == set(SCHEMAS)


def test_the_shape_of_an_answer_that_stands_in_a_use_case_gets_a_schema(monkeypatch, tmp_path):
    (tmp_path / "bowls.py").write_text(
        "from typing import Literal\nfrom setsolver.domain.document import Document\n"
        "class Bowl(Document):\n    glaze: str\n"
        "class Bowls(Document):\n    format: Literal['setsolver/bowls']\n    bowls: tuple[Bowl, ...]\n"
    )
    before = schemas._beside_use_cases()
    monkeypatch.setattr(schemas.package, "__path__", [*schemas.package.__path__, str(tmp_path)])
    monkeypatch.delitem(sys.modules, "setsolver.usecases.bowls", raising=False)
    found = schemas._beside_use_cases()
    assert set(found) - set(before) == {"bowls"}
    assert "glaze" in json.dumps(schemas.schema_of(found["bowls"]))


def test_no_two_documents_share_a_name():
    assert not set(ANSWERS) & set(schemas._beside_use_cases())


@pytest.mark.parametrize("catalog", [make_shoot(9), make_snapshot(*(make_frame(i, "wide") for i in range(4)))])
def test_an_outcome_holds_to_its_schema_with_a_set_and_without(catalog):
    brief = make_brief(roles={"wide": [1, 1], "medium": [1, 1], "close": [1, 1]})
    document = suggest(catalog, brief, alternates=1).model_dump(mode="json")
    jsonschema.validate(document, SCHEMAS["outcome.schema.json"]())
    broken = {**document, "sets": "none"}
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(broken, SCHEMAS["outcome.schema.json"]())


def test_frames_hold_to_their_schema_measured_in_full_or_quickly():
    quick = make_frame(0, faces=(make_face(0.5, 0.4),), rating=4.0)
    measures = replace(quick.measures, appeal=Appeal(3.2, 0.5), kind=Kind(0.9, 0.06, 0.04), upright=Upright(90, 0.97))
    full = replace(make_frame(1), measures=measures, said="close", turn=None)
    document = frames_document(make_snapshot(quick, full))
    jsonschema.validate(document, SCHEMAS["frames.schema.json"]())
    assert [frame["appeal"] for frame in document["frames"]] == [None, 3.2]
    assert [frame["stars"] for frame in document["frames"]] == [4.0, None]
    document["frames"][0]["appeal"] = 7
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(document, SCHEMAS["frames.schema.json"]())


ROLES = {"wide": [1, 1], "medium": [1, 1], "close": [1, 1]}


def holds(document):
    """Check a document against the schema of its format."""
    jsonschema.validate(
        json.loads(json.dumps(document)), SCHEMAS[f"{document['format'].partition('/')[2]}.schema.json"]()
    )


def test_a_graded_set_holds_to_its_schema_whether_it_keeps_the_rules_or_not():
    shoot, brief = make_shoot(9), make_brief(roles=ROLES)
    for paths in (("frame-0000.jpg", "frame-0001.jpg", "frame-0002.jpg"), ("frame-0000.jpg", "frame-0003.jpg")):
        holds(check(shoot, brief, paths))


def test_why_holds_to_its_schema_in_the_set_out_of_it_and_where_no_set_exists():
    shoot = make_snapshot(*(make_frame(i, name) for i, name in enumerate(("wide", "medium", "close", "wide"))))
    brief = make_brief(roles=ROLES)
    best = suggest(shoot, brief, alternates=0).sets[0]
    documents = [why(shoot, brief, best, frame.path) for frame in shoot.frames]
    assert {document["points"] is None for document in documents} == {True, False}
    for document in documents:
        holds(document)


def test_gaps_and_comparisons_hold_to_their_schemas():
    brief = make_brief(roles=ROLES)
    holds(gaps(make_shoot(9), brief))
    holds(gaps(make_snapshot(*(make_frame(i, "wide") for i in range(4))), brief))
    outcome = suggest(make_shoot(9), brief, alternates=1)
    holds(compare([(str(n), outcome, found) for n, found in enumerate(outcome.sets)]))


def test_a_bare_solution_holds_to_its_schema_with_prices_and_without_a_set():
    holds(answer(small_problem(3), Effort(), kinds=("differs",), prices=True).to_json())
    holds(answer(dark_and_bright(), Effort()).to_json())


def test_what_scan_and_brief_print_holds_to_their_schemas(tmp_path):
    (tmp_path / "text.jpg").write_bytes(b"text")
    for arguments in (("scan", str(tmp_path), "--workers", "0", "--json"), ("brief", "list", "--json")):
        holds(json.loads(CliRunner().invoke(cli, arguments, standalone_mode=False).stdout))


def test_a_brief_as_understood_holds_to_its_schema():
    document = json.loads(CliRunner().invoke(cli, ["brief", "show", "lead-and-four", "--json"]).stdout)
    jsonschema.validate(document, SCHEMAS["brief-understood.schema.json"]())


def test_what_was_learned_holds_to_its_schema():
    start = load_taste()
    learned = Learned(dict(start.weights), (Move("appeal", 60.0, 61.5),), 0.5, 0.75, None)
    holds(learned_document(start, learned, ["A against B"]))

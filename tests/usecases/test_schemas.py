"""Schemas in the package are those of the models, and documents hold to them."""

import json
from dataclasses import replace

import jsonschema
import pytest

from setsolver.domain.measures import Appeal, Kind, Upright
from setsolver.usecases.frames import frames_document
from setsolver.usecases.schemas import FOLDER, SCHEMAS, write_schemas
from setsolver.usecases.suggest import suggest
from tests.rules.builders import make_brief, make_face, make_frame, make_shoot, make_snapshot

ANEW = "a model has changed; write the schemas anew with `python -m setsolver.usecases.schemas`"


@pytest.mark.parametrize("name", SCHEMAS)
def test_the_schema_in_the_package_is_that_of_the_model(name):
    assert json.loads((FOLDER / name).read_text("utf-8")) == SCHEMAS[name](), ANEW


def test_writing_gives_the_files_of_the_package(tmp_path):
    write_schemas(tmp_path)
    assert {path.name for path in tmp_path.iterdir()} == set(SCHEMAS)


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

"""JSON Schemas of the documents that cross the boundary, made from the models and kept in the package.

``python -m setsolver.usecases.schemas`` writes them anew after a model has changed; a test says when that is due.
"""

from __future__ import annotations

import inspect
import json
from collections.abc import Callable
from functools import partial
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages
from typing import Any, get_args

import setsolver.usecases as package
from setsolver.domain.album import Album
from setsolver.domain.answers import ANSWERS
from setsolver.domain.choice import ChoiceRecord
from setsolver.domain.document import Document
from setsolver.domain.finish import Finish
from setsolver.domain.frames import Frames
from setsolver.domain.outcome import Outcome
from setsolver.usecases.briefs import brief_schema

__all__ = [
    "SCHEMAS",
    "album_schema",
    "choice_schema",
    "finish_schema",
    "frames_schema",
    "outcome_schema",
    "schema_of",
    "write_schemas",
]

FOLDER = Path(__file__).parents[1] / "schemas"


def outcome_schema() -> dict[str, Any]:
    """Return the JSON Schema of ``setsolver/outcome`` version 2."""
    schema = Outcome.model_json_schema(mode="serialization")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def album_schema() -> dict[str, Any]:
    """Return the JSON Schema of ``setsolver/album`` version 1."""
    schema = Album.model_json_schema(mode="serialization")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def choice_schema() -> dict[str, Any]:
    """Return the JSON Schema of a line of ``setsolver/choice`` version 1."""
    schema = ChoiceRecord.model_json_schema(mode="validation")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def finish_schema() -> dict[str, Any]:
    """Return the JSON Schema of ``setsolver/finish`` version 1."""
    schema = Finish.model_json_schema(mode="serialization")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def frames_schema() -> dict[str, Any]:
    """Return the JSON Schema of ``setsolver/frames`` version 1."""
    schema = Frames.model_json_schema(mode="serialization")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def schema_of(model: type[Document]) -> dict[str, Any]:
    """Return the JSON Schema of a document with which a verb answers; keys with a default may be missing."""
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **model.model_json_schema(mode="validation")}


def _beside_use_cases() -> dict[str, type[Document]]:
    """Return the shapes of answers that stand in use cases: classes with a ``format``, by the last word of it."""
    found = {}
    for module in walk_packages(package.__path__, f"{package.__name__}."):
        for _, shape in inspect.getmembers(import_module(module.name), _is_answer):
            if shape.__module__ == module.name:
                found[_last_word(shape)] = shape
    return found


def _is_answer(one: Any) -> bool:
    return inspect.isclass(one) and issubclass(one, Document) and "format" in one.model_fields


def _last_word(shape: type[Document]) -> str:
    (said,) = get_args(shape.model_fields["format"].annotation)
    return str(said).rpartition("/")[2]


SCHEMAS: dict[str, Callable[[], dict[str, Any]]] = {
    **{f"{name}.schema.json": partial(schema_of, model) for name, model in (ANSWERS | _beside_use_cases()).items()},
    "album.schema.json": album_schema,
    "brief.schema.json": brief_schema,
    "choice.schema.json": choice_schema,
    "finish.schema.json": finish_schema,
    "frames.schema.json": frames_schema,
    "outcome.schema.json": outcome_schema,
}
"""File in the package and what makes it."""


def write_schemas(folder: Path = FOLDER) -> None:
    """Write every schema into a folder."""
    for name, make in SCHEMAS.items():
        (folder / name).write_text(json.dumps(make(), indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    write_schemas()

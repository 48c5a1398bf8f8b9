"""Documents that were made before, opened again: what they were made for, and from which folder."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple, TypeVar

from pydantic import ValidationError

from setsolver.catalog.paths import to_file
from setsolver.catalog.place import has_index
from setsolver.domain.album import Album
from setsolver.domain.brief import Brief
from setsolver.domain.outcome import Outcome
from setsolver.domain.weights import Weights
from setsolver.errors import BadInput
from setsolver.reading import read_within

__all__ = ["Kept", "brief_of", "catalog_of", "document_in"]

Made = TypeVar("Made", Outcome, Album)


class Kept(NamedTuple):
    """How a document is kept. file : its name in its folder. most : bytes that one may have. verb : that makes it."""

    file: str
    most: int
    verb: str


def document_in(path: Path, model: type[Made], kept: Kept) -> Made:
    """Read a document from its folder or file.

    Raises
    ------
    BadInput
        Where there is none, or it is not of this format and version.
    """
    file = path / kept.file if path.is_dir() else path
    try:
        return model.model_validate_json(read_within(file, kept.most))
    except FileNotFoundError as error:
        raise BadInput(
            f"{path}: no {_called(model)} here; name a folder made by `setsolver {kept.verb}`, or its {kept.file}"
        ) from error
    except OSError as error:
        raise BadInput(f"{path}: cannot be read: {error.strerror}") from error
    except ValidationError as error:
        raise BadInput(
            f"{file}: not an {_called(model)} that this version reads ({_first(error, 'the document')}); "
            f"make it again with `setsolver {kept.verb}`"
        ) from error


def brief_of(document: Outcome | Album) -> Brief:
    """Return the brief that a document was made for.

    A document names every weight that there was when it was made: a term that came later weighed nothing in it.

    Raises
    ------
    BadInput
        Where the document holds one that this version does not read.
    """
    given = dict(document.brief)
    if isinstance(given.get("weights"), dict):
        given["weights"] = dict.fromkeys(Weights.model_fields, 0.0) | given["weights"]
    try:
        return Brief.model_validate(given)
    except ValidationError as error:
        why = _first(error, "the whole")
        raise BadInput(
            f"the brief in this {_called(type(document))} is none that this version reads ({why}); make it again"
        ) from error


def catalog_of(document: Outcome | Album) -> Path:
    """Return the folder that a document was made from, where it is a catalog still.

    Nothing is measured or written in a folder that only a document names: it may be a stranger's.

    Raises
    ------
    BadInput
        Where the folder has no index.
    """
    folder = to_file(Path(), document.catalog)
    if not has_index(folder):
        raise BadInput(
            f"{document.catalog}, which the {_called(type(document))} names, is no catalog here; name it with --catalog"
        )
    return folder


def _called(model: type[Outcome | Album]) -> str:
    return model.__name__.lower()


def _first(error: ValidationError, whole: str) -> str:
    first = error.errors()[0]
    return f"{'.'.join(map(str, first['loc'])) or whole}: {first['msg']}"

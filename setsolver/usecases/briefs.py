"""Briefs by name or file: read, checked with every fault at once, copied for editing, and their schema."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from setsolver.domain.brief import Brief
from setsolver.domain.measures import SCALES
from setsolver.domain.weights import Weights
from setsolver.errors import BadBrief, BadInput, BadTaste
from setsolver.layout import check_wall
from setsolver.reading import read_within
from setsolver.rules.registry import faults_of
from setsolver.rules.words import count, in_a_row, nearest
from setsolver.usecases.brief_lines import key_lines, line_of
from setsolver.usecases.brief_paths import from_folder, text_from, text_with
from setsolver.usecases.brief_words import fault, model_schema, undefined_role
from setsolver.usecases.tastes import DEFAULT, load_taste
from setsolver.writing import write_new

__all__ = ["brief_names", "brief_schema", "brief_text", "load_brief", "new_brief", "parse_brief"]

SUFFIX = ".toml"
_MOST_BYTES = 200_000
"""Of a brief; the longest that comes with setsolver has 4,000."""


def brief_names() -> tuple[str, ...]:
    """Return the names of the briefs that come with setsolver, in order of the alphabet."""
    return tuple(sorted(file.name.removesuffix(SUFFIX) for file in _folder().iterdir() if file.name.endswith(SUFFIX)))


def brief_text(name: str | Path) -> str:
    """Return the TOML text of a brief by name or file.

    Raises
    ------
    BadBrief
        Where there is no such brief, or its file cannot be read as text. The ending .toml may be left out.
    """
    if str(name) in brief_names():
        return str((_folder() / f"{name}{SUFFIX}").read_text("utf-8"))
    path = Path(name)
    if not path.exists() and path.with_name(path.name + SUFFIX).exists():
        path = path.with_name(path.name + SUFFIX)
    try:
        return read_within(path, _MOST_BYTES).decode("utf-8").replace("\r\n", "\n")
    except (FileNotFoundError, NotADirectoryError) as error:
        near = nearest(path.stem, brief_names())
        raise BadBrief(
            f'"{name}" is neither a file nor a brief that comes with setsolver{near}{" The" if near else "; the"} '
            f"briefs are {in_a_row(brief_names())}"
        ) from error
    except UnicodeDecodeError as error:
        raise BadBrief(f"{name}: not a text in UTF-8 (byte {error.start}); save it as UTF-8") from error
    except (OSError, ValueError) as error:
        raise BadBrief(f"{name}: cannot be read: {getattr(error, 'strerror', error)}; name a TOML file") from error


def load_brief(name: str | Path) -> Brief:
    """Return a brief that comes with setsolver by its name, or any other by its file.

    Raises
    ------
    BadBrief
        With every fault at once: line, key, value and what is allowed.
    """
    return parse_brief(brief_text(name), str(name))


def parse_brief(text: str, source: str = "brief") -> Brief:
    """Return the brief of a TOML text; ``source`` names it in errors, and its folder is where its paths start.

    Raises
    ------
    BadBrief
        With every fault at once: line, key, value and what is allowed.
    """
    try:
        given = tomllib.loads(text)
    except RecursionError as error:
        raise BadBrief(f"{source}: tables within tables too deep to follow; a brief has two levels") from error
    except ValueError as error:  # TOMLDecodeError, and numbers of thousands of digits
        raise BadBrief(f"{source}: not TOML: {error}; a line reads key = value, a text stands in quotes") from error
    faults: list[tuple[tuple[str | int, ...], str]] = []
    folder = Path(source).parent
    try:
        brief = from_folder(Brief.model_validate(_tasted(given, folder)), folder)
        faults += faults_of(brief).items()
        check_wall(brief)
    except ValidationError as error:
        faults += _faults(error, given)
    except BadTaste as error:
        faults.append((("taste",), f"taste: {error}"))
    except BadBrief as error:
        faults.append((error.where or (("wall",) if "wall" in given else ("layout", "kind")), str(error)))
    if not faults:
        return brief
    lines = key_lines(text)
    placed = sorted((line_of(lines, where) or 0, says) for where, says in faults)
    told = [f"line {line}: {says}" if line else says for line, says in placed]
    if len(told) == 1:
        raise BadBrief(f"{source}: {told[0]}")
    raise BadBrief(f"{source}: {count(len(told), 'fault')}" + "".join(f"\n  {says}" for says in told))


def _tasted(given: dict[str, Any], folder: Path) -> dict[str, Any]:
    """Return a brief whose weights are those of its taste where it does not say them itself."""
    taste, weights = given.get("taste", DEFAULT), given.get("weights", {})
    if not isinstance(taste, str) or not isinstance(weights, dict):
        return given  # the model says what is wrong
    if weights.keys() >= Weights.model_fields.keys():  # as ``brief_text_of`` writes them, those of its taste among them
        return given
    return given | {"weights": load_taste(taste, folder).weights | weights}


def _faults(error: ValidationError, given: dict[str, Any]) -> list[tuple[tuple[str | int, ...], str]]:
    """Return place and sentence of each fault; roles that nobody defined are told one by one."""
    faults = [(e["loc"] or ("roles",), fault(e)) for e in error.errors() if e["loc"] != ("roles",) or not _roles(given)]
    undefined = [
        name
        for name, role in _roles(given).items()
        if name not in SCALES and not (isinstance(role, dict) and "match" in role)
    ]
    return faults + [(("roles", name), undefined_role(name)) for name in undefined]


def _roles(given: dict[str, Any]) -> dict[str, Any]:
    roles = given.get("roles")
    return roles if isinstance(roles, dict) else {}


def brief_schema() -> dict[str, Any]:
    """Return the JSON Schema of a brief, as it is kept in the package."""
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **model_schema()}


def new_brief(path: Path, like: str = "wall-three") -> Path:
    """Write a commented brief to start from, named after its file, whole or not at all; return its path.

    Raises
    ------
    BadBrief
        Where ``like`` is no brief or names a path that cannot be told from elsewhere, or the file's name is none for
        a brief.
    BadInput
        Where the file exists already, or cannot be written.
    """
    if not path.name:
        raise BadInput(f"{str(path)!r} names no file; give the new brief a name")
    path = path if path.suffix == SUFFIX else path.with_name(path.name + SUFFIX)
    text = brief_text(like)
    parse_brief(text, like)
    text = text_with(text_from(text, Path(like).parent, path.parent), ("name",), path.stem)
    parse_brief(text, str(path))
    write_new(path, text.encode())
    return path


def _folder() -> Any:
    return files("setsolver") / "briefs"

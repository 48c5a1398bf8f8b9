"""Tastes by name or file: read and checked, and written where one was learned."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from setsolver.catalog.paths import to_file
from setsolver.domain.taste import Taste
from setsolver.errors import BadTaste
from setsolver.rules.registry import weight_names
from setsolver.rules.words import in_a_row, nearest
from setsolver.writing import write_new

__all__ = ["DEFAULT", "load_taste", "save_taste", "taste_names", "taste_text"]

DEFAULT = "default"
SUFFIX = ".toml"
SHAPE = 'a taste has a name = "..." and a table [weights] of points by term, as `setsolver learn --out` writes one'


def taste_names() -> tuple[str, ...]:
    """Return the names of the tastes that come with setsolver, in order of the alphabet."""
    return tuple(sorted(file.name.removesuffix(SUFFIX) for file in _folder().iterdir() if file.name.endswith(SUFFIX)))


def taste_text(name: str | Path, folder: Path = Path()) -> str:
    """Return the TOML text of a taste by name or file; ``folder`` is where a file's path starts.

    Raises
    ------
    BadTaste
        Where there is no such taste, or its file cannot be read as text.
    """
    if str(name) in taste_names():
        return str((_folder() / f"{name}{SUFFIX}").read_text("utf-8"))
    path = to_file(folder, str(name))
    try:
        return path.read_text("utf-8")
    except (FileNotFoundError, NotADirectoryError, IsADirectoryError) as error:
        near = nearest(path.stem, taste_names())
        raise BadTaste(
            f'"{name}" is neither a file nor a taste that comes with setsolver{near}{" The" if near else "; the"} '
            f"tastes are {in_a_row(taste_names())}"
        ) from error
    except (OSError, ValueError) as error:
        raise BadTaste(f"{name}: cannot be read as text: {error}; name a TOML file in UTF-8") from error


def load_taste(name: str | Path = DEFAULT, folder: Path = Path()) -> Taste:
    """Return a taste that comes with setsolver by its name, or any other by its file.

    Raises
    ------
    BadTaste
        Where the file is no TOML, a value is not allowed, or a weight has no term.
    """
    return _come_along(str(name)) if str(name) in taste_names() else _read(name, folder)


@cache
def _come_along(name: str) -> Taste:
    return _read(name, Path())


def _read(name: str | Path, folder: Path) -> Taste:
    try:
        taste = Taste.model_validate(tomllib.loads(taste_text(name, folder)))
    except tomllib.TOMLDecodeError as error:
        raise BadTaste(f"{name}: not TOML: {error}; a line reads key = value, a text stands in quotes") from error
    except ValidationError as error:
        faults = [f"{'.'.join(map(str, one['loc']))}: {one['msg']}" for one in error.errors()]
        raise BadTaste(f"{name}: {'; '.join(faults)}; {SHAPE}") from error
    known = weight_names()
    for term in taste.weights:
        if term not in known:
            near = nearest(term, known)
            raise BadTaste(f'{name}: "{term}" is the weight of no term{near}; the terms are {in_a_row(known)}')
    return taste


def save_taste(taste: Taste, path: Path) -> Path:
    """Write a taste to a file that is not there yet, whole or not at all; return its path.

    Raises
    ------
    BadInput
        Where the file exists already, or cannot be written.
    """
    path = path if path.suffix == SUFFIX else path.with_name(path.name + SUFFIX)
    write_new(path, _toml(taste).encode())
    return path


def _toml(taste: Taste) -> str:
    table = taste.model_dump(exclude_none=True)
    head = [f"{key} = {_value(value)}" for key, value in table.items() if not isinstance(value, dict)]
    parts = [f"\n[{key}]\n" + _rows(value) for key, value in table.items() if isinstance(value, dict)]
    return "\n".join(head + parts) + "\n"


def _rows(table: dict[str, Any]) -> str:
    return "\n".join(f"{key} = {_value(value)}" for key, value in table.items())


def _value(value: Any) -> str:
    if isinstance(value, str):
        return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
    return f"{value:.6g}" if isinstance(value, float) else str(value)


def _folder() -> Any:
    return files("setsolver") / "tastes"

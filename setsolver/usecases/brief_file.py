"""A brief as a TOML file that ``load_brief`` reads back as the same brief."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from setsolver.usecases.brief_paths import in_folder
from setsolver.usecases.briefs import parse_brief
from setsolver.writing import write_new

if TYPE_CHECKING:
    from setsolver.domain.brief import Brief

__all__ = ["brief_text_of", "save_brief"]

BARE = re.compile(r"[A-Za-z0-9_-]+")


def brief_text_of(brief: Brief, note: str = "") -> str:
    """Return a brief as TOML, what it leaves at its defaults left out; ``note`` goes on top as a comment."""
    given = {"name": brief.name, "size": brief.size, **brief.model_dump(exclude_defaults=True, exclude_none=True)}
    if "taste" in given:  # which would give the weights that are left out
        given["weights"] = brief.weights.model_dump()
    tables = {key: value for key, value in given.items() if isinstance(value, Mapping)}
    slots = given.pop("slot", ())
    lines = [f"# {line}" for line in note.splitlines()]
    lines += [f"{_key(key)} = {_value(value)}" for key, value in given.items() if key not in tables]
    for key, table in tables.items():
        lines += ["", f"[{_key(key)}]", *(f"{_key(name)} = {_value(value)}" for name, value in table.items())]
    for slot in slots:
        lines += ["", "[[slot]]", *(f"{_key(name)} = {_value(value)}" for name, value in slot.items())]
    return "\n".join(lines) + "\n"


def save_brief(brief: Brief, path: Path, note: str = "") -> None:
    """Write a brief to a file that does not exist yet, whole or not at all.

    Raises
    ------
    BadInput
        Where the file exists already, or cannot be written.
    """
    text = brief_text_of(in_folder(brief, path.parent), note)
    parse_brief(text, str(path))
    write_new(path, text.encode())


def _key(name: str) -> str:
    return name if BARE.fullmatch(name) else _value(name)


def _value(value: Any) -> str:
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_key(str(name))} = {_value(part)}" for name, part in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(_value, value)) + "]"
    text = json.dumps(value, ensure_ascii=False)  # numbers, true and false, and basic strings are JSON's, too
    return text.replace("\x7f", "\\u007F")  # but for the one control character that JSON lets stand

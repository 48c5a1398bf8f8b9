"""Paths that a brief names: each starts from the brief's own folder, wherever the brief is used or written again.

They are written as paths in a catalog are, since a folder's name may hold bytes that are not UTF-8.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from setsolver.catalog.paths import to_file, to_text
from setsolver.errors import BadBrief
from setsolver.usecases.brief_lines import key_lines, line_of
from setsolver.usecases.tastes import taste_names

if TYPE_CHECKING:
    from setsolver.domain.brief import Brief

__all__ = ["from_folder", "in_folder", "text_from", "text_with"]

_KEYS: Final = (("taste",), ("wall", "photograph", "file"), ("album", "templates"))
"""Where a brief names a file or a folder that is its owner's."""


def from_folder(brief: Brief, folder: Path) -> Brief:
    """Return a brief read in ``folder`` with whole paths, so that none depends on where it goes from here."""
    return _with_paths(brief, lambda path: _whole(path, folder))


def in_folder(brief: Brief, folder: Path) -> Brief:
    """Return a brief to be written in ``folder``: what lies in there is named from it, so that both can be moved."""
    home = folder.absolute()

    def short(path: str) -> str:
        file = to_file(Path(), path).absolute()
        return to_text(file.relative_to(home).as_posix() if file.is_relative_to(home) else str(file))

    return _with_paths(brief, short)


def text_from(text: str, source: Path, target: Path) -> str:
    """Return the text of a brief of folder ``source`` for one in ``target``; raises as ``text_with``."""
    given = tomllib.loads(text)
    if source.absolute() == target.absolute():
        return text
    for keys in _KEYS:
        path = _at(given, keys)
        if _is_path(keys, path):
            text = text_with(text, keys, _whole(path, source))
    return text


def text_with(text: str, keys: tuple[str, ...], value: str) -> str:
    """Return the text of a brief with another value of a key that it gives; all else stays as it is.

    Raises
    ------
    BadBrief
        Where the value is written in a way that is not followed, such as over several lines.
    """
    now = _at(tomllib.loads(text), keys)
    lines = text.splitlines(keepends=True)
    first = (line_of(key_lines(text), keys) or 1) - 1
    changed = "".join(lines[:first]) + _replaced("".join(lines[first:]), keys[-1], now, value)
    if _at(tomllib.loads(changed), keys) != value:
        key, was = ".".join(keys), json.dumps(now, ensure_ascii=False)
        raise BadBrief(f"{key} = {was} cannot be changed to {value} as it is written; write it on one line")
    return changed


def _replaced(text: str, key: str, now: str, value: str) -> str:
    """Return a text in which the first value of a key that is ``now``, in quotes of either kind, is another."""
    for match in re.finditer(rf"""\b{key}["']?\s*=\s*("[^"\n]*"|'[^'\n]*')""", text):
        try:
            found = tomllib.loads(f"value = {match[1]}")["value"]
        except tomllib.TOMLDecodeError:
            continue
        if found == now:  # a basic string of TOML reads as one of JSON
            written = json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007F")
            return text[: match.start(1)] + written + text[match.end(1) :]
    return text


def _at(given: Any, keys: tuple[str, ...]) -> Any:
    for key in keys:
        given = given.get(key) if isinstance(given, dict) else None
    return given


def _is_path(keys: tuple[str, ...], value: Any) -> bool:
    return isinstance(value, str) and value != "" and not (keys == ("taste",) and value in taste_names())


def _whole(path: str, folder: Path) -> str:
    return to_text(str(to_file(folder, path).absolute()))


def _with_paths(brief: Brief, change: Callable[[str], str]) -> Brief:
    update: dict[str, Any] = {}
    if _is_path(("taste",), brief.taste):
        update["taste"] = change(brief.taste)
    if brief.wall is not None and brief.wall.photograph is not None:
        mark = brief.wall.photograph
        mark = mark.model_copy(update={"file": change(mark.file)})
        update["wall"] = brief.wall.model_copy(update={"photograph": mark})
    if brief.album is not None and brief.album.templates:
        update["album"] = brief.album.model_copy(update={"templates": change(brief.album.templates)})
    return brief.model_copy(update=update) if update else brief

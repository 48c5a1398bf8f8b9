"""Where a key of a TOML file stands: the parser says what is written, not on which line."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

__all__ = ["key_lines", "line_of"]

KEY = r"""(?:"[^"]*"|'[^']*'|[\w-]+)"""
DOTTED = re.compile(rf"\s*({KEY}(?:\s*\.\s*{KEY})*)\s*")
PART = re.compile(KEY)
QUOTES = ('"""', "'''")

Path = tuple[str, ...]


def key_lines(text: str) -> dict[Path, int]:
    """Return the line, from 1, on which each key or table of a TOML text is first written.

    Tables of a list ([[slot]]) are told apart by their number, from 0. Keys inside an inline table or a list over
    several lines are not listed: they stand in their key's lines.
    """
    found: dict[Path, int] = {}
    listed: Counter[Path] = Counter()
    table: Path = ()
    for number, line in _outside_strings(text):
        bare = line.lstrip()
        header = bare.startswith("[") and bare.split("#")[0].rstrip().endswith("]")
        match = DOTTED.match(bare.lstrip("[") if header else bare)
        if match is None:
            continue
        path = tuple(part.strip("\"'") for part in PART.findall(match.group(1)))
        if header and "=" not in bare.split("#")[0]:
            table = path
            if bare.startswith("[["):
                found.setdefault(path, number)
                table = (*path, str(listed[path]))
                listed[path] += 1
            found.setdefault(table, number)
        elif bare[match.end() :].startswith("="):
            for depth in range(1, len(path) + 1):
                found.setdefault((*table, *path[:depth]), number)
    return found


def line_of(lines: dict[Path, int], path: tuple[str | int, ...]) -> int | None:
    """Return the line of a key, or of the nearest table or key around it that is written; None for the top itself."""
    names = tuple(str(part) for part in path)
    return next((lines[names[:end]] for end in range(len(names), 0, -1) if names[:end] in lines), None)


def _outside_strings(text: str) -> Iterator[tuple[int, str]]:
    """Yield the lines, with their numbers, that do not begin inside a string over several lines."""
    inside: str | None = None
    for number, line in enumerate(text.splitlines(), 1):
        if inside is None:
            yield number, line
        inside = _still_inside(line, inside)


def _still_inside(line: str, inside: str | None) -> str | None:
    at = 0
    while True:
        if inside is None:
            opens = [(line.find(quotes, at), quotes) for quotes in QUOTES if line.find(quotes, at) >= 0]
            if not opens:
                return None
            at, inside = min(opens)
        else:
            at = line.find(inside, at)
            if at < 0:
                return inside
            inside = None
        at += 3

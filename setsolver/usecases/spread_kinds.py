"""Spread kinds by name: those that come with setsolver, and those of a folder of the user's own."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

from pydantic import ValidationError

from setsolver.catalog.paths import to_file
from setsolver.domain.spread_kind import SpreadKind
from setsolver.errors import BadBrief, BadInput, NoRoom
from setsolver.layout.pages import on_pages
from setsolver.reading import read_within
from setsolver.rules.words import in_a_row, nearest

if TYPE_CHECKING:
    from setsolver.domain.album_wish import AlbumWish

__all__ = ["kinds_for", "parse_kind", "spread_kinds"]

SUFFIX = ".toml"
_MOST_BYTES = 50_000


def spread_kinds(folder: Path | None = None) -> dict[str, SpreadKind]:
    """Return all kinds by name; those of a folder replace those of the same name.

    Raises
    ------
    BadBrief
        Where the folder holds none, or one does not hold.
    """
    own = files("setsolver") / "spreads"
    found = [parse_kind(file.read_text("utf-8"), file.name) for file in own.iterdir() if file.name.endswith(SUFFIX)]
    kinds = {kind.name: kind for kind in sorted(found, key=lambda kind: kind.name)}
    if folder is None:
        return kinds
    paths = sorted(folder.glob(f"*{SUFFIX}")) if folder.is_dir() else []
    if not paths:
        raise BadBrief(
            f"album.templates = {str(folder)!r}: no spread kinds (*.toml) there; name a folder that has some"
        )
    for path in paths:
        try:
            text = read_within(path, _MOST_BYTES).decode("utf-8")
        except (OSError, UnicodeDecodeError, BadInput) as error:
            raise BadBrief(f"{path}: cannot be read as a spread kind: {error}") from error
        kind = parse_kind(text, str(path))
        kinds[kind.name] = kind
    return kinds


def parse_kind(text: str, source: str) -> SpreadKind:
    """Return the kind of a TOML text.

    Raises
    ------
    BadBrief
        With the first fault, its place and what is allowed.
    """
    try:
        return SpreadKind.model_validate(tomllib.loads(text))
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        raise BadBrief(
            f"{source}: {where + ': ' if where else ''}{first['msg'].removeprefix('Value error, ')}"
        ) from error
    except (ValueError, RecursionError) as error:
        raise BadBrief(f"{source}: not TOML: {error}; a line reads key = value") from error


def kinds_for(wish: AlbumWish) -> Mapping[str, SpreadKind]:
    """Return the kinds that an album may use, each of which its pages have room for.

    Raises
    ------
    BadBrief
        Where a kind is not known, pictures overlap, or a kind that the brief names has no room on its pages. Kinds
        that nobody named and that have no room are left out.
    """
    folder = to_file(Path(), wish.templates) if wish.templates else None
    known = spread_kinds(folder)
    named = [*wish.kinds, *wish.opening.kinds, *wish.closing.kinds]
    for name in named:
        if name not in known:
            near = nearest(name, known)
            raise BadBrief(
                f'album: there is no spread kind "{name}"{near}{" The" if near else "; the"} kinds are '
                f"{in_a_row(list(known))}"
            )
    wanted = [name for name in known if not wish.kinds or name in named]
    found = {}
    for name in wanted:
        try:
            on_pages(known[name], wish)
        except NoRoom:
            if name in named:
                raise
            continue
        found[name] = known[name]
    if not found:
        raise BadBrief("album: no spread kind has room on these pages; make page_cm larger")
    return found

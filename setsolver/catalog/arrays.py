"""Arrays in the index: those of one frame, and what frames look alike and belong together by, of some hundred."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from setsolver.catalog.codec import Array, array_of
from setsolver.domain.measures import CLIP_SIZE, EMBEDDING_SIZE, Tone
from setsolver.errors import BadInput

__all__ = ["arrays_of", "contents_of", "looks_of"]

_ARRAYS = "SELECT name, kind, shape, value FROM array WHERE frame = ?"
_ARRAY_OF = "SELECT frame, kind, shape, value FROM array WHERE name = ? AND frame IN (SELECT value FROM json_each(?))"
_COLOURS = """
    SELECT id, facts -> '$.palette', facts -> '$.tone' FROM frame WHERE id IN (SELECT value FROM json_each(?))
"""
_MID = Tone._fields.index("mid")


def arrays_of(db: sqlite3.Connection, key: int) -> dict[str, Array]:
    """Return the arrays of a frame by name."""
    return {name: Array(*parts) for name, *parts in db.execute(_ARRAYS, (key,))}


def looks_of(db: sqlite3.Connection, ids: Sequence[int]) -> tuple[NDArray[np.float16], NDArray[np.uint64]]:
    """Return embeddings float16[n, 1280] and hashes uint64[n] of some hundred frames."""
    places = ", ".join("?" * len(ids))
    query = f"SELECT frame, kind, shape, value FROM array WHERE name = ? AND frame IN ({places})"  # noqa: S608 - question marks
    at = {row: number for number, row in enumerate(ids)}
    embedding, phash = np.empty((len(ids), EMBEDDING_SIZE), np.float16), np.empty(len(ids), np.uint64)
    for row, *parts in db.execute(query, ("embedding", *ids)):
        embedding[at[row]] = array_of(Array(*parts))
    for row, *parts in db.execute(query, ("phash", *ids)):
        phash[at[row]] = array_of(Array(*parts))
    return embedding, phash


def contents_of(
    db: sqlite3.Connection, ids: Sequence[int]
) -> tuple[NDArray[np.float16], NDArray[np.float16], NDArray[np.float32]]:
    """Return what scenes are told by, of some hundred frames.

    Embeddings float16[n, 1280], CLIP's places float16[n, 768] (0 where it has not looked), palette and mid tone
    float32[n, 4].
    """
    at = {row: number for number, row in enumerate(ids)}
    some = json.dumps(list(ids))
    embedding = np.zeros((len(ids), EMBEDDING_SIZE), np.float16)
    places = np.zeros((len(ids), CLIP_SIZE[1]), np.float16)
    for name, out in (("embedding", embedding), ("clip.places", places)):
        for row, *parts in db.execute(_ARRAY_OF, (name, some)):
            out[at[row]] = array_of(Array(*parts))
    colour = np.zeros((len(ids), 4), np.float32)
    for row, palette, tone in db.execute(_COLOURS, (some,)):
        colour[at[row]] = (*(json.loads(palette or "null") or (0.0, 0.0, 0.0)), json.loads(tone)[_MID])
    if not all(np.isfinite(one).all() for one in (embedding, places, colour)):
        raise BadInput("the index holds a damaged row (numbers that are none); scan --again measures it anew")
    return embedding, places, colour

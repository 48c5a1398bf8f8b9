"""Measures and metadata to and from columns of the index: numbers as JSON, arrays as little-endian blobs."""

from __future__ import annotations

import json
from dataclasses import asdict
from datetime import datetime
from typing import Any

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.frame import Shot
from setsolver.domain.geometry import Box
from setsolver.domain.measures import (
    ATTENTION_GRID,
    DETAIL_GRID,
    LIGHTNESS_BINS,
    TONE_GRID,
    Detail,
    Face,
    Measures,
    ScaleOdds,
    Subject,
    Tilt,
    Tone,
    ToneTiles,
)

__all__ = ["COLUMNS", "pack_measures", "pack_shot", "unpack_measures", "unpack_shot"]

COLUMNS = ("facts", "phash", "tiles", "neutral", "detail", "attention", "embedding")
"""Columns of ``pack_measures``, in its order."""


def pack_measures(measures: Measures) -> tuple[Any, ...]:
    """Return the values of ``COLUMNS``."""
    facts = {
        "tone": measures.tone,
        "detail": measures.detail[:3],
        "tilt": measures.tilt,
        "subject": measures.subject[:2],
        "faces": measures.faces,
        "quality": measures.quality,
        "odds": measures.odds,
        "inner": measures.inner,
        "inner_odds": measures.inner_odds,
    }
    return (
        json.dumps(facts, separators=(",", ":"), default=float),
        measures.phash.to_bytes(8, "big"),
        _blob(measures.tiles.lightness, "<u2"),
        _blob(measures.tiles.neutral, "<f4"),
        _blob(measures.detail.tiles, "<f4"),
        _blob(measures.subject.attention, "<f4"),
        _blob(measures.embedding, "<f2"),
    )


def unpack_measures(values: tuple[Any, ...]) -> Measures:
    """Return the record from the values of ``COLUMNS``; arrays are read-only views of the blobs."""
    text, phash, tiles, neutral, detail, attention, embedding = values
    facts = json.loads(text)
    return Measures(
        tone=Tone(*facts["tone"]),
        tiles=ToneTiles(
            _array(tiles, "<u2", (*TONE_GRID, LIGHTNESS_BINS)),
            _array(neutral, "<f4", (*TONE_GRID, 3)),
        ),
        detail=_detail(facts["detail"], _array(detail, "<f4", DETAIL_GRID)),
        tilt=Tilt(*facts["tilt"]),
        subject=Subject(Box(*facts["subject"][0]), facts["subject"][1], _array(attention, "<f4", ATTENTION_GRID)),
        faces=tuple(Face(Box(*box), *rest) for box, *rest in facts["faces"]),
        quality=facts["quality"],
        odds=ScaleOdds(*facts["odds"]),
        inner=Box(*facts["inner"]),
        inner_odds=ScaleOdds(*facts["inner_odds"]),
        phash=int.from_bytes(phash, "big"),
        embedding=_array(embedding, "<f2", (-1,)),
    )


def pack_shot(shot: Shot) -> str:
    """Return a shot as JSON, absent fields left out."""
    known = {name: value for name, value in asdict(shot).items() if value is not None and value != ()}
    return json.dumps(known, default=datetime.isoformat)


def unpack_shot(text: str) -> Shot:
    """Return the shot from ``pack_shot``."""
    known = json.loads(text)
    if "time" in known:
        known["time"] = datetime.fromisoformat(known["time"])
    known["keywords"] = tuple(known.get("keywords", ()))
    return Shot(**known)


def _detail(facts: list[float], tiles: NDArray[np.float32]) -> Detail:
    sharpness, motion, grain = facts
    return Detail(sharpness, motion, grain, tiles)


def _blob(array: NDArray[Any], kind: str) -> bytes:
    return np.ascontiguousarray(array, dtype=kind).tobytes()


def _array(blob: bytes, kind: str, shape: tuple[int, ...]) -> NDArray[Any]:
    return np.frombuffer(blob, dtype=kind).reshape(shape)

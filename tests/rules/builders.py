"""Frames, snapshots and briefs with chosen measures, for tests of rules and of everything above them.

Nothing here looks at pixels: each number is what a test says it is, the rest is a plain well-made daylight frame.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import numpy as np

from setsolver.domain.brief import Brief, Weights
from setsolver.domain.frame import Frame, Shot
from setsolver.domain.geometry import WHOLE, Box
from setsolver.domain.measures import (
    ATTENTION_GRID,
    DETAIL_GRID,
    EMBEDDING_SIZE,
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
from setsolver.domain.snapshot import Snapshot

START = datetime(2026, 5, 2, 9, 0)  # noqa: DTZ001 - capture times are naive local times
SURE = {
    "wide": ScaleOdds(0.94, 0.04, 0.02),
    "medium": ScaleOdds(0.04, 0.92, 0.04),
    "close": ScaleOdds(0.02, 0.04, 0.94),
}
MIDDLE = Box(0.35, 0.3, 0.3, 0.4)


def make_tiles(black: float, mid: float, white: float, cast_a: float = 0.0, cast_b: float = 0.0) -> ToneTiles:
    """Return tiles that are all alike: 5 % at black, 5 % at white, the rest spread evenly on both sides of mid."""
    bins = np.arange(LIGHTNESS_BINS) + 0.5
    low, high = (bins >= black) & (bins <= mid), (bins >= mid) & (bins <= white)
    histogram = 4500.0 * low / max(1, low.sum()) + 4500.0 * high / max(1, high.sum())
    histogram[min(int(black), 99)] += 500
    histogram[min(int(white), 99)] += 500
    lightness = np.broadcast_to(np.rint(histogram).astype(np.uint16), (*TONE_GRID, LIGHTNESS_BINS)).copy()
    neutral = np.broadcast_to(np.array([cast_a * 0.4, cast_b * 0.4, 0.4], dtype=np.float32), (*TONE_GRID, 3)).copy()
    return ToneTiles(lightness, neutral)


def make_attention(box: Box, share: float = 0.85) -> np.ndarray:
    """Return an attention grid with ``share`` of its sum even over the cells whose centre lies in the box."""
    rows, columns = ((np.arange(n) + 0.5) / n for n in ATTENTION_GRID)
    inside = ((rows >= box.y) & (rows <= box.bottom))[:, None] & ((columns >= box.x) & (columns <= box.right))[None, :]
    grid = np.full(ATTENTION_GRID, (1 - share) / inside.size) + share * inside / max(1, inside.sum())
    return (grid / grid.sum()).astype(np.float32)


def make_face(x: float, y: float, size: float = 0.1, facing: str = "front", sharpness: float = 0.8) -> Face:
    """Return a face centred at (x, y), ``size`` wide and 1.3 times as high (in fractions of the frame)."""
    return Face(Box(x - size / 2, y - size * 0.65, size, size * 1.3), 0.92, facing, sharpness)


def make_embedding(place: Any, seed: int = 0, noise: float = 0.0) -> np.ndarray:
    """Return an embedding whose first numbers are ``place``; float16[1280]."""
    vector = np.zeros(EMBEDDING_SIZE)
    vector[: len(place)] = place
    vector += noise * np.random.default_rng(seed).normal(size=EMBEDDING_SIZE)
    return vector.astype(np.float16)


def make_frame(
    number: int,
    scale: str | ScaleOdds = "medium",
    *,
    path: str | None = None,
    size: tuple[int, int] = (6000, 4000),
    look: tuple[float, float, float, float, float] = (8.0, 48.0, 92.0, 0.0, 0.0),
    tilt: Tilt = Tilt(None, 0.0, None),  # noqa: B008 - immutable
    subject: Box = MIDDLE,
    confidence: float = 0.8,
    faces: tuple[Face, ...] = (),
    quality: float = 0.7,
    sharpness: float = 0.7,
    grain: float = 0.6,
    inner: str | ScaleOdds | None = None,
    place: Any = None,
    moment: int | None = None,
    scene: int | None = None,
    rating: float | None = None,
    keywords: tuple[str, ...] = (),
    time: datetime | None = None,
    said: str | None = None,
    attention: np.ndarray | None = None,
    figures: np.ndarray | None = None,
    crop_map: np.ndarray | None = None,
) -> Frame:
    """Return a frame; ``look`` is black, mid, white, cast_a, cast_b. Moment and scene default to the frame's number."""
    odds = SURE[scale] if isinstance(scale, str) else scale
    inner_odds = odds if inner is None else SURE[inner] if isinstance(inner, str) else inner
    black, mid, white, cast_a, cast_b = look
    centre = subject.centre
    inner_box = Box(min(max(centre[0] - 0.25, 0.0), 0.5), min(max(centre[1] - 0.25, 0.0), 0.5), 0.5, 0.5)
    if place is None:
        place = np.random.default_rng(number).normal(size=24)
    measures = Measures(
        tone=Tone(black, white, mid, 25.0, cast_a, cast_b, 30.0, 0.0, 0.0, -0.2, 0.4),
        tiles=make_tiles(*look),
        detail=Detail(sharpness, 0.1, grain, np.full(DETAIL_GRID, sharpness, dtype=np.float32)),
        tilt=tilt,
        subject=Subject(subject, confidence, make_attention(subject) if attention is None else attention),
        faces=faces,
        quality=quality,
        odds=odds,
        inner=inner_box,
        inner_odds=inner_odds,
        phash=np.uint64(np.random.default_rng(number).integers(0, 2**63)),
        embedding=make_embedding(place, seed=number),
        inner_embedding=make_embedding(place, seed=number),
        figures=figures,
        crop_map=crop_map,
    )
    shot = Shot(time=time or START + timedelta(minutes=5 * number), rating=rating, keywords=keywords)
    return Frame(
        id=number,
        path=path or f"frame-{number:04d}.jpg",
        width=size[0],
        height=size[1],
        file_bytes=5_000_000,
        shot=shot,
        measures=measures,
        moment=number if moment is None else moment,
        scene=number if scene is None else scene,
        chapter=0,
        said=said,
    )


def with_measures(frame: Frame, **changes: Any) -> Frame:
    """Return a frame of which some measures are others."""
    return replace(frame, measures=replace(frame.measures, **changes))


def make_snapshot(
    *frames: Frame, pairs: tuple[tuple[int, int], ...] = (), series: tuple[tuple[int, ...], ...] = ()
) -> Snapshot:
    """Return a catalog of these frames; their ids must be 0, 1, 2, ..."""
    assert [frame.id for frame in frames] == list(range(len(frames)))
    return Snapshot("pottery", frames, pairs, series=series)


def make_shoot(count: int = 12, **same: Any) -> Snapshot:
    """Return a small shoot: wide, medium and close in turn, each its own moment, three frames a scene."""
    names = list(SURE)
    return make_snapshot(*(make_frame(i, names[i % 3], scene=i // 3, **same) for i in range(count)))


PLAIN = dict.fromkeys(Weights.model_fields, 0.0) | {
    "appeal": 40,
    "quality": 40,
    "role": 20,
    "composition": 15,
    "rating": 10,
    "variety": 12,
    "tone": 1.0,
}
"""Weights of round numbers, whatever the default taste is: tests count in them."""


def make_brief(**changes: Any) -> Brief:
    """Return a brief for three frames at 3:2 that any frame of ``make_frame`` may serve."""
    weights, tone = PLAIN | changes.pop("weights", {}), dict(changes.pop("tone", {}))
    tone["reach"] = {"black": 4, "mid": 8, "white": 6, "cast": 4} | tone.get("reach", {})
    tone["slack"] = {"black": 1, "mid": 3, "white": 1, "cast": 1} | tone.get("slack", {})
    plain = {"name": "test", "size": 3, "print_cm": 30, "min_ppi": 150, "weights": weights, "tone": tone}
    return Brief.model_validate(plain | changes)


def make_random_snapshot(count: int, seed: int, *, faces: bool = True) -> Snapshot:
    """Return a catalog with every measure drawn at random within its range, portrait and landscape frames mixed."""
    rng = np.random.default_rng(seed)
    frames = []
    for number in range(count):
        w, h = rng.uniform(0.1, 0.5, 2)
        box = Box(rng.uniform(0, 1 - w), rng.uniform(0, 1 - h), w, h)
        tilt = Tilt(*rng.choice([0.0, 1.0]) * np.array([rng.uniform(-5, 5), rng.uniform(0.2, 1)]), None)
        facing = rng.choice(["left", "right", "front"])
        people = (make_face(*rng.uniform(0.2, 0.8, 2), rng.uniform(0.03, 0.15), facing),)
        long = int(rng.integers(2500, 8000))
        frames.append(
            make_frame(
                number,
                ScaleOdds(*rng.dirichlet([0.5, 0.5, 0.5])),
                inner=ScaleOdds(*rng.dirichlet([0.4, 0.5, 0.8])),
                size=(long, long * 2 // 3) if rng.random() < 0.7 else (long * 2 // 3, long),
                look=tuple(np.array([8.0, 48, 90, 0, 2]) + rng.normal(size=5) * [4, 9, 4, 3, 3]),
                tilt=tilt,
                subject=box,
                confidence=rng.random(),
                faces=people if faces and rng.random() < 0.3 else (),
                quality=rng.random(),
                moment=number // 3,
                scene=number // 9,
                rating=rng.choice([None, 0, 3, 5]),
            )
        )
    return make_snapshot(*frames)


__all__ = [
    "MIDDLE",
    "START",
    "SURE",
    "WHOLE",
    "make_attention",
    "make_brief",
    "make_embedding",
    "make_face",
    "make_frame",
    "make_random_snapshot",
    "make_shoot",
    "make_snapshot",
    "make_tiles",
]

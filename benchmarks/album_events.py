"""Made-up events for benchmarks of albums: the same numbers give the same event on every machine.

Scenes whose tone drifts, bursts of look-alikes, chapters, four crops of each frame (across both pages, a page, lying,
standing), points that vary most by frame and a little by crop, twins among neighbours, people on some. The kinds are
those that come with setsolver, in eight.
"""

from __future__ import annotations

import numpy as np

from setsolver.domain.book import Book, BookKind
from setsolver.domain.problem import Problem

__all__ = ["KINDS", "made_up"]

ACROSS, PAGE, LYING, STANDING = range(4)
KINDS = (
    BookKind("single", (ACROSS,), (1,), (1.0,), full=True),
    BookKind("lead-two", (PAGE, LYING), (1, 2), (0.64, 0.18), full=True),
    BookKind("four", (LYING,), (4,), (0.25,), full=True),
    BookKind("grid", (LYING,), (8,), (0.125,), full=True),
    BookKind("quiet", (LYING,), (1,), (1.0,), full=False),
    BookKind("quiet-upright", (STANDING,), (1,), (1.0,), full=False),
    BookKind("quiet-pair", (LYING,), (2,), (0.5,), full=False),
    BookKind("page", (PAGE, LYING), (1, 1), (0.78, 0.22), full=False),
)


def made_up(frames: int, spreads: int, seed: int = 0, kinds: tuple[BookKind, ...] = KINDS) -> Book:
    """Return an event of so many frames for a book of so many spreads."""
    rng = np.random.default_rng([frames, spreads, seed])
    moment = np.cumsum(rng.random(frames) < 0.55)
    moments = int(moment[-1]) + 1
    passages = max(2, spreads)
    passage = np.minimum(moment * passages // moments, passages - 1)
    chapters = max(2, spreads // 6)
    chapter = np.arange(passages) * chapters // passages
    worth = rng.normal(130, 20, frames)
    crops = 4
    frame = np.repeat(np.arange(frames), crops)
    gain = np.full((frames * crops, crops), np.nan)
    for crop in range(crops):
        able = rng.random(frames) > (0.5, 0.2, 0.1, 0.5)[crop]
        gain[crop::crops, crop] = np.where(able, worth - rng.uniform(0, 15, frames), np.nan)
    scene = rng.normal(0, 8, (passages, 5))[passage] + rng.normal(0, 5, (frames, 5))
    near = np.flatnonzero(rng.random(frames - 5) < 0.1)
    twins = {(int(one), int(one + rng.integers(1, 5))) for one in near}
    problem = Problem.from_arrays(
        {
            "size": 1,
            "frame": frame,
            "gain": gain,
            "tone": np.repeat(scene, crops, axis=0),
            "tone_weight": [0.5] * 5,
            "tone_slack": [4.0] * 5,
            "tone_reach": [25.0] * 5,
            "conflict": sorted(twins),
            "group": [np.repeat(moment, crops)],
            "group_cap": [1],
        }
    )
    shows = rng.random(frames) < np.clip(rng.normal(0.5, 0.25, chapters), 0, 1)[chapter[passage]]
    usual = np.array([shows[chapter[passage] == number].mean() for number in range(chapters)])
    return Book(
        problem=problem,
        kinds=kinds,
        passage=np.repeat(passage, crops),
        chapter=chapter,
        rank=np.repeat(np.arange(frames), crops),
        spreads=(spreads, spreads),
        density=(1.5, 3.5),
        group=problem.group,
        group_cap=problem.group_cap,
        shows=np.repeat(shows, crops),
        usual=np.where(usual < 0.1, np.nan, usual),
        pace=15.0,
        people=10.0,
        opens=np.array([kind.name in ("single", "quiet", "page") for kind in kinds]),
    )

"""Scenes of the demo catalog against its truth, and two cameras whose clocks are apart, made from its frames.

    python benchmarks/features/grouping.py DEMO

A change of place is right where a scene ends at it. For the clocks every second frame of each burst, and of nothing
else, is given to a second body whose clock is set apart; the gap found and the scenes found with it are compared with
the truth.
The index of DEMO is used or made (in DEMO, or in the cache where DEMO is read-only).
"""

from __future__ import annotations

import argparse
import json
from collections import Counter
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise
from pathlib import Path

import numpy as np
from sklearn.metrics import adjusted_rand_score

from setsolver.catalog.clocks import aligned
from setsolver.catalog.grouping import Sighting, group
from setsolver.catalog.neighbours import near_pairs
from setsolver.catalog.records import Pairs
from setsolver.catalog.scenes import Look
from setsolver.domain.frame import Frame
from setsolver.features.likeness import SAME_DISTANCE, signatures
from setsolver.features.places import scene_parts
from setsolver.usecases.scan import scan
from setsolver.usecases.sighting import sighting_of
from setsolver.usecases.snapshot import snapshot

GAPS = (timedelta(hours=1), timedelta(hours=-1), timedelta(minutes=7), timedelta(seconds=20))


class Looked:
    """What scenes are told of frames by."""

    def __init__(self, frames: list[Frame]) -> None:
        self._measures = [frame.measures for frame in frames]

    def __getitem__(self, rows: np.ndarray) -> Look:
        some = [self._measures[row] for row in rows.tolist()]
        parts = scene_parts(np.stack([one.embedding for one in some]), np.stack([one.clip.places for one in some]))
        colour = np.array([(*one.palette, one.tone.mid) for one in some], np.float32)
        return Look(parts, colour, np.ones(len(some), bool))


def sighting(frames: list[Frame]) -> tuple[Sighting, Pairs]:
    embedding = np.stack([frame.measures.embedding for frame in frames])
    hashes = np.array([frame.measures.phash for frame in frames], np.uint64)
    seen = sighting_of((("", frame.shot) for frame in frames), signatures(embedding, hashes))
    return seen, near_pairs(seen.vectors, SAME_DISTANCE)


def scenes(frames: list[Frame], seen: Sighting, same: Pairs) -> np.ndarray:
    return group(seen, Looked(frames), same).scene


def against_truth(frames: list[Frame], place: list[str]) -> None:
    scene = scenes(frames, *sighting(frames))
    moved = np.array([a != b for a, b in pairwise(place)])
    ended = np.diff(scene) != 0
    print(
        f"changes of place {moved.sum()}, found {np.sum(moved & ended)}; "
        f"scenes ended elsewhere {np.sum(ended & ~moved)} (scenes found {len(set(scene.tolist()))})"
    )
    for number in dict.fromkeys(scene.tolist()):
        here = Counter(np.array(place)[scene == number].tolist())
        print(f"  scene {number}: {', '.join(f'{count} {where}' for where, count in here.most_common())}")


def two_bodies(frames: list[Frame], burst: list[str | None], gap: timedelta) -> None:
    counts: dict[str, int] = {}
    second = []
    for name in burst:
        counts[name or ""] = counts.get(name or "", 0) + 1
        second.append(bool(name) and counts[name or ""] % 2 == 0)
    shots = [
        replace(frame.shot, body="2" if other else "1", time=frame.shot.time + (gap if other else timedelta()))
        for frame, other in zip(frames, second, strict=True)
    ]
    seen, same = sighting([replace(frame, shot=shot) for frame, shot in zip(frames, shots, strict=True)])
    moved, remarks = aligned(seen, same)
    found = float(np.median((seen.instant - moved.instant)[second]))
    plain = scenes(frames, *sighting(frames))
    agree = adjusted_rand_score(plain, scenes(frames, moved, same))
    said = f"{gap.total_seconds():.0f} s apart: found {found:.1f} s"
    print(f"{sum(second)} frames of a second body {said}, scenes as without it by adjusted Rand index {agree:.3f}")
    print(f"  {remarks[0] if remarks else 'no remark'}")


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("demo", type=Path)
    demo = options.parse_args().demo
    scan(demo)
    truth = {frame["path"]: frame for frame in json.loads((demo / "truth.json").read_text())["frames"]}
    frames = sorted(snapshot(demo).frames, key=lambda frame: (frame.shot.time, frame.path))
    against_truth(frames, [truth[frame.path]["place"] for frame in frames])
    for gap in GAPS:
        two_bodies(frames, [truth[frame.path]["burst"] for frame in frames], gap)


if __name__ == "__main__":
    main()

"""Catalog-like set problems of any size, the same for the same arguments on every machine.

usage: python benchmarks/generate.py OUT.npz --renditions M [--size N] [--seed S] [--per-frame P] [--tones K] [--dims D]
                                             [--crossing ROWS] [--foes FOES]

The numbers imitate a shoot: scenes in time order, bursts of near-identical frames inside a scene, tone that drifts
from scene to scene, places that cluster by scene, and role gains of which one usually leads. Bursts give one frame
to a set at most, scenes two; some look-alikes across neighbouring bursts conflict; each of three roles is wanted once.
``--crossing`` adds rows of caps that nest with nothing (of 8 motifs that come back in all scenes at most a quarter of
the set each), ``--foes`` conflicts of so many frames a frame, at random. Both are drawn last: the rest stays as it is.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import NamedTuple

import numpy as np

from setsolver.domain.problem import Problem
from setsolver.usecases.problem_file import save

SCENE_TONE = [4.0, 9.0, 5.0, 3.0, 3.0, 3.0]  # standard deviation of a scene's tone on each axis
FRAME_TONE = [1.2, 3.0, 1.6, 1.0, 1.0, 1.0]  # of a frame's tone around its scene
WEIGHT = [1.0, 0.5, 1.0, 0.8, 0.8, 0.8]
SLACK = [1.0, 3.0, 1.0, 1.0, 1.0, 1.0]
MOTIFS = 8
REACH = [6.0, 10.0, 8.0, 5.0, 5.0, 5.0]


class Shoot(NamedTuple):
    """scene, burst, new_burst [frames]: which scene and burst each frame is of, and where a burst begins."""

    scene: np.ndarray
    burst: np.ndarray
    new_burst: np.ndarray


def arrays(
    renditions: int,
    size: int = 6,
    seed: int = 0,
    per_frame: int = 1,
    tones: int = 4,
    dims: int = 12,
    *,
    crossing: int = 0,
    foes: int = 0,
) -> dict[str, np.ndarray]:
    """Return the arrays of one problem; the order of the random draws is part of the definition."""
    rng = np.random.default_rng(seed)
    frames = max(size, renditions // per_frame)
    frame = np.repeat(np.arange(frames), per_frame)
    shoot = _shoot(rng, frames)
    tone = _tones(rng, shoot, frame, tones)
    place = _places(rng, shoot, frame, dims)
    gain = _gains(rng, frames, frame)
    wanted = 1 if size >= 3 else 0
    look_alikes = _look_alikes(rng, shoot.burst)
    motif = rng.integers(0, MOTIFS, (crossing, frames))[:, frame]
    enemies = np.sort(rng.integers(0, frames, (foes * frames // 2, 2)), axis=1)
    enemies = np.unique(enemies[enemies[:, 0] < enemies[:, 1]], axis=0)
    return {
        "size": np.array(size),
        "frame": frame,
        "gain": gain,
        "role_min": np.full(3, wanted),
        "role_max": np.full(3, size),
        "tone": tone,
        "tone_weight": np.array(WEIGHT[:tones]),
        "tone_slack": np.array(SLACK[:tones]),
        "tone_reach": np.array(REACH[:tones]),
        "place": place,
        "variety_weight": np.array(12.0),
        "variety_kind": np.array("squared"),
        "group": np.vstack([shoot.burst[frame], shoot.scene[frame], motif]),
        "group_cap": np.array([1, 2, *[max(1, -(-size // 4))] * crossing]),
        "conflict": np.concatenate([look_alikes, enemies]),
        "include": np.array([], dtype=np.int64),
        "exclude": np.array([], dtype=np.int64),
    }


def problem(renditions: int, size: int = 6, seed: int = 0, per_frame: int = 1, **shape: int) -> Problem:
    """Return ``arrays`` as a checked problem."""
    return Problem.from_arrays(arrays(renditions, size, seed, per_frame, **shape))


def _shoot(rng: np.random.Generator, frames: int) -> Shoot:
    scene = np.sort(rng.integers(0, max(3, frames // 40), frames))
    new_burst = (rng.random(frames) < 0.4) | np.r_[True, scene[1:] != scene[:-1]]
    return Shoot(scene, np.cumsum(new_burst) - 1, new_burst)


def _tones(rng: np.random.Generator, shoot: Shoot, frame: np.ndarray, tones: int) -> np.ndarray:
    scene_tone = rng.normal(0, 1, (shoot.scene.max() + 1, tones)) * SCENE_TONE[:tones]
    frame_tone = scene_tone[shoot.scene] + rng.normal(0, 1, (len(shoot.scene), tones)) * FRAME_TONE[:tones]
    return frame_tone[frame] + rng.normal(0, 0.4, (len(frame), tones))


def _places(rng: np.random.Generator, shoot: Shoot, frame: np.ndarray, dims: int) -> np.ndarray:
    scene_place = rng.normal(0, 1, (shoot.scene.max() + 1, dims))
    begins = np.flatnonzero(shoot.new_burst)
    burst_place = scene_place[shoot.scene[begins]] + rng.normal(0, 0.45, (shoot.burst.max() + 1, dims))
    frame_place = burst_place[shoot.burst] + rng.normal(0, 0.05, (len(shoot.burst), dims))
    place = frame_place[frame] + rng.normal(0, 0.05, (len(frame), dims))
    return place / np.linalg.norm(place, axis=1, keepdims=True)


def _gains(rng: np.random.Generator, frames: int, frame: np.ndarray) -> np.ndarray:
    quality = np.clip(rng.normal(0.55, 0.15, frames), 0, 1)[frame] + rng.normal(0, 0.02, len(frame))
    role = rng.dirichlet([0.4, 0.4, 0.4], len(frame))
    gain = 40 * quality[:, None] + 20 * role
    gain[role < 0.02] = np.nan  # a wide view cannot play the close detail
    return gain


def _look_alikes(rng: np.random.Generator, burst: np.ndarray) -> np.ndarray:
    """Return pairs of frames, the last of a burst and the first of the next, that look alike one time in ten."""
    last = np.flatnonzero(np.diff(burst) == 1)
    odd = last[rng.random(len(last)) < 0.1]
    return np.stack([odd, odd + 1], axis=1)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("out", type=Path)
    parser.add_argument("--renditions", type=int, required=True)
    for name, default in {
        "size": 6,
        "seed": 0,
        "per-frame": 1,
        "tones": 4,
        "dims": 12,
        "crossing": 0,
        "foes": 0,
    }.items():
        parser.add_argument(f"--{name}", type=int, default=default)
    given = vars(parser.parse_args())
    save(problem(**{key: value for key, value in given.items() if key != "out"}), given["out"])


if __name__ == "__main__":
    main()

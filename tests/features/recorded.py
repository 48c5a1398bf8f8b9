"""What each version of each feature found in known pictures, in few numbers; ``python -m tests.features.recorded``
writes it anew, where a feature finds something else on purpose and its version was raised.
"""  # noqa: D205 - one sentence and how it is made

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from importlib.metadata import version
from pathlib import Path
from typing import Any

import cv2
import numpy as np

from setsolver.domain.measures import Measures
from setsolver.domain.origin import origins
from setsolver.features.horizon import ALONE, WITH_CLIP, choose_horizon
from setsolver.features.measure import Models, measure

__all__ = ["FILE", "PICTURES", "RUNTIME", "found_in", "judged", "numbers_of"]

FILE = Path(__file__).parents[1] / "data" / "measured.json"
RUNTIME = "onnxruntime"
_WAVES = 12
_FEW = 16


def _carried(name: str) -> np.ndarray:
    from skimage import data  # noqa: PLC0415 - slow to import, only where a picture is asked for

    return np.ascontiguousarray(getattr(data, name)())


def _spoilt() -> np.ndarray:
    """A cup of coffee, moved along a slant, grained, warm and dark towards the corners, burnt at one side."""
    rgb = cv2.resize(_carried("coffee"), (900, 600), interpolation=cv2.INTER_AREA).astype(np.float32)
    moved = cv2.filter2D(rgb, -1, _slant(13))
    grain = np.random.default_rng(0).normal(0, 5, (600, 900, 1)).astype(np.float32)
    y, x = np.mgrid[-1:1:600j, -1:1:900j]
    fall = np.exp2(-0.9 * (x**2 * 2.25 + y**2) / 3.25)[..., None]
    lit = (moved + grain) * fall * (1.08, 1.0, 0.86)
    lit[:, :60] += 160
    return np.clip(np.rint(lit), 0, 255).astype(np.uint8)


def _slant(side: int) -> np.ndarray:
    kernel = np.zeros((side, side), np.float32)
    cv2.line(kernel, (0, side // 3), (side - 1, side - 1 - side // 3), 1.0)
    return kernel / kernel.sum()


def _sea() -> np.ndarray:
    """Sky above a sea that falls to the right by 1.6 degrees; a boat, and a shore that rises."""
    height, width = 640, 960
    random = np.random.default_rng(1)
    line = 0.42 * height + np.tan(np.radians(1.6)) * (np.arange(width) - (width - 1) / 2)
    below = np.clip(np.arange(height)[:, None] - line + 0.5, 0, 1)[..., None]
    waves = cv2.GaussianBlur(random.normal(0, 40, (height, width)), (0, 0), 3)[..., None]
    sky = np.array([150, 185, 225]) + np.linspace(-30, 25, height)[:, None, None]
    rgb = sky * (1 - below) + (np.array([40, 80, 100]) + waves) * below + random.normal(0, 1.5, (height, width, 1))
    rgb[300:380, 640:720] = (190, 60, 40)
    y, x = np.mgrid[:height, :width]
    rgb[y > 560 - 0.5 * (330 - x)] *= np.where(x[y > 560 - 0.5 * (330 - x)] < 330, 0.5, 1.0)[:, None]
    return np.clip(np.rint(rgb), 0, 255).astype(np.uint8)


PICTURES: dict[str, Callable[[], np.ndarray]] = {
    "astronaut": lambda: _carried("astronaut"),
    "astronaut on her side": lambda: np.ascontiguousarray(np.rot90(_carried("astronaut"))),
    "cat": lambda: _carried("chelsea"),
    "spoilt cup": _spoilt,
    "sea": _sea,
}


def numbers_of(value: Any) -> list[float] | None:
    """Return a measure in few numbers: itself, or of an array that is long its products with twelve waves."""
    match value:
        case None:
            return None
        case str():
            return [float(sum(map(ord, value)))]
        case np.uint64():
            return [float(int(value) >> 32), float(int(value) & 0xFFFFFFFF)]
        case np.ndarray() if value.size > _FEW:
            flat = value.astype(np.float64).ravel()
            waves = np.cos(np.outer(np.arange(_WAVES) + 0.5, np.arange(flat.size) * (2.7 / np.sqrt(flat.size))))
            return (waves @ flat / np.sqrt(flat.size)).round(6).tolist()
        case np.ndarray() | tuple():
            parts = [numbers_of(part) for part in value]
            return [number for part in parts for number in (part if part is not None else [-9999.0])]
        case _:
            return [round(float(value), 6)]


def found_in(name: str, models: Models) -> dict[str, list[float] | None]:
    """Return what each feature finds in a picture, and what tilt and scale are where CLIP was left for later."""
    rgb = PICTURES[name]()
    found = measure(rgb, models=models)
    quick = measure(rgb, models=models, known=replace(found, clip=None), names={"tilt", "odds"})
    every = {feature: numbers_of(getattr(found, feature)) for feature in origins(Measures)}
    return every | {f"{feature}, quick": numbers_of(getattr(quick, feature)) for feature in ("tilt", "odds")}


def judged() -> dict[str, list[float]]:
    """Return the chances by which each judge of horizons believes a line, each of its cues moved by a half in turn."""
    found = {}
    for name, judge in (("alone", ALONE), ("with clip", WITH_CLIP)):
        usual = np.array([0.6, 0.2, -0.6, -0.1, 0.2, 0.5, 0.1, 0.4, 0.4, -1.0, -1.5])[: len(judge.weights) - 1]
        moved = usual + 0.5 * np.eye(len(usual))
        every = [choose_horizon(cues[None], np.zeros(1), judge.weights)[1] for cues in (usual, *moved)]
        found[name] = [round(chance, 6) for chance in every]
    return found


def main() -> None:
    models = Models.load()
    versions = {name: origin.version for name, origin in origins(Measures).items()}
    found = {name: found_in(name, models) for name in PICTURES}
    recorded = {"versions": versions, "runtime": {RUNTIME: version(RUNTIME)}, "judges": judged(), **found}
    lines = [f"{json.dumps(name)}: {{\n{_rows(one)}\n}}" for name, one in recorded.items()]
    FILE.write_text("{\n" + ",\n".join(lines) + "\n}\n", encoding="utf-8")


def _rows(found: dict[str, Any]) -> str:
    return ",\n".join(f"{json.dumps(name)}: {json.dumps(numbers)}" for name, numbers in found.items())


if __name__ == "__main__":
    main()

"""Photographs turned by known angles, the odds that they show a horizon, and horizons read by eye."""

from __future__ import annotations

import csv
from pathlib import Path

import cv2
import numpy as np
from fit_heads import STIFFNESS, fit
from table import load

from setsolver.features.head import softmax

__all__ = ["TURNS", "has_horizon", "likely", "read_by_eye", "share_left", "turned", "turned_line"]

TURNS = (-5.0, -2.5, -1.0, 1.0, 2.5, 5.0)
BY_EYE = Path(__file__).with_name("horizons.csv")


def share_left(height: int, width: int, degrees: float) -> float:
    """Share of each side that is left when the borders of a turned picture are cut away."""
    sine, cosine = np.sin(np.radians(abs(degrees))), np.cos(np.radians(degrees))
    return 0.995 * min(height / (width * sine + height * cosine), width / (height * sine + width * cosine))


def turned(rgb: np.ndarray, degrees: float) -> np.ndarray:
    """The picture with its right end lowered by ``degrees``, cut to what the turn leaves covered."""
    height, width = rgb.shape[:2]
    matrix = cv2.getRotationMatrix2D(((width - 1) / 2, (height - 1) / 2), -degrees, 1.0)
    whole = cv2.warpAffine(rgb, matrix, (width, height), flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REFLECT)
    share = share_left(height, width, degrees)
    rows, columns = int(height * share), int(width * share)
    top, left = (height - rows) // 2, (width - columns) // 2
    return np.ascontiguousarray(whole[top : top + rows, left : left + columns])


def turned_line(line: tuple[float, float], shape: tuple[int, ...], degrees: float) -> tuple[float, float]:
    """Tilt and height of a line, (degrees, share of the height), in the turned picture."""
    tilt, height = line
    share = share_left(shape[0], shape[1], degrees) if degrees else 1.0
    away = (height - 0.5) * np.cos(np.radians(tilt)) / np.cos(np.radians(tilt + degrees))
    return tilt + degrees, 0.5 + away / share


def read_by_eye() -> dict[str, tuple[float, float]]:
    """Tilt in degrees and height of the horizons that could be read, by photograph; NaN = level things, no horizon."""
    with BY_EYE.open(encoding="utf-8") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return {row["photograph"]: (float(row["degrees"]), float(row["height"] or "nan")) for row in rows}


def has_horizon(row: dict[str, str]) -> bool:
    """Whether a reader gives the photograph a horizon."""
    return row["horizon_a"] == "1" or row["horizon_b"] == "1"


def likely() -> dict[str, float]:
    """Odds of a horizon by heads that were fitted without the photograph's source."""
    table = load()
    known = table.horizon >= 0
    chance, source = table.horizon[known] / 2, table.source[known]
    at, target, odds = axes(table.whole[known]), np.stack([1 - chance, chance], axis=1), np.zeros(len(chance))
    for one in np.unique(source):
        rest = source != one
        matrix = fit(at[rest], target[rest], STIFFNESS["horizon"])
        odds[~rest] = softmax(at[~rest] @ matrix[:-1] + matrix[-1])[:, 1]
    return {f"{number:04d}": float(value) for number, value in zip(table.picture[known], odds, strict=True)}


def axes(embeddings: np.ndarray) -> np.ndarray:
    """Standardised roots of embeddings on their own principal axes, as the heads are fitted on."""
    root = np.sqrt(embeddings).astype(np.float32)
    unit = (root - root.mean(axis=0)) / (root.std(axis=0) + 0.02) / np.sqrt(root.shape[1])
    u, s, _ = np.linalg.svd(unit, full_matrices=False)
    return (u * s).astype(np.float64)

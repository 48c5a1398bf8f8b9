"""Photographs of a folder with frames/*.jpg, labels.csv and photos.csv, for the scripts beside this one."""

from __future__ import annotations

import argparse
import csv
from collections.abc import Iterator
from pathlib import Path

import cv2
import numpy as np
from PIL import Image, ImageOps

__all__ = ["folder", "labels", "read", "some"]


def folder(description: str | None) -> Path:
    """The folder named on the command line; the network and OpenCV run on one thread from here on."""
    options = argparse.ArgumentParser(description=description, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("photos", type=Path)
    cv2.setNumThreads(1)
    return options.parse_args().photos


def labels(photos: Path) -> dict[str, dict[str, str]]:
    """Readings by picture, with its source."""
    with (photos / "photos.csv").open(encoding="utf-8") as file:
        source = {row["id"][:4]: row["source"] for row in csv.DictReader(file)}
    with (photos / "labels.csv").open(encoding="utf-8") as file:
        return {row["id"]: {**row, "source": source[row["id"]]} for row in csv.DictReader(file)}


def read(photos: Path, name: str) -> np.ndarray:
    with Image.open(photos / "frames" / f"{name}.jpg") as opened:
        return np.ascontiguousarray(ImageOps.exif_transpose(opened).convert("RGB"))


def some(photos: Path, step: int) -> Iterator[tuple[str, np.ndarray]]:
    """Every ``step``-th photograph (drawings and screens left out)."""
    real = [name for name, row in labels(photos).items() if "none" not in {row["scale_a"], row["scale_b"]}]
    for name in real[::step]:
        yield name, read(photos, name)

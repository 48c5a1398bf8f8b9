"""The list for the lab: what to make of each file."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from typing import Final

from setsolver.domain.finish import FinishedPrint

__all__ = ["LAB_FILE", "lab_list"]

LAB_FILE = "lab.csv"
_COLUMNS: Final = (
    "file", "width_cm", "height_cm", "paper", "border_mm", "bleed_mm", "width_px", "height_px", "ppi", "profile",
    "count",
)  # fmt: skip


def lab_list(prints: Mapping[int, FinishedPrint], paper: str = "") -> bytes:
    """Return a table for the lab, CSV (RFC 4180): a row a file. paper : to print on, as the lab calls it."""
    text = io.StringIO()
    rows = csv.writer(text)
    rows.writerow(_COLUMNS)
    for number in sorted(prints):
        made = prints[number]
        rows.writerow(
            [
                made.file,
                f"{made.print_width_cm:.1f}",
                f"{made.print_height_cm:.1f}",
                paper,
                f"{made.border_mm:.1f}",
                f"{made.bleed_mm:.1f}",
                made.width,
                made.height,
                f"{made.ppi:.1f}",
                made.profile,
                1,
            ]
        )
    return text.getvalue().encode()

"""Contact sheets to look at: pictures in rows, with boxes and lines drawn on them, for the scripts beside this one."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw

from setsolver.domain.geometry import Box, corners_on_frame

__all__ = ["Panel", "save_sheets"]

PANEL = 232
"""Width and height of a panel in pixels."""
LINE = 16
DIM = 0.35
"""How bright what lies outside a crop is drawn."""


class Panel:
    """One picture, shrunk, with what is drawn on it; boxes are fractions of the frame."""

    def __init__(self, rgb: np.ndarray, says: str = "") -> None:
        self.picture = Image.fromarray(rgb)
        self.picture.thumbnail((PANEL, PANEL - LINE))
        self.aspect = rgb.shape[1] / rgb.shape[0]
        self.says = says

    def box(self, box: Box, colour: str, width: int = 2) -> Panel:
        """Draw a box."""
        wide, high = self.picture.size
        at = (box.x * wide, box.y * high, min(box.right * wide, wide - 1), min(box.bottom * high, high - 1))
        ImageDraw.Draw(self.picture).rectangle(at, outline=colour, width=width)
        return self

    def line(self, height: float, degrees: float, colour: str) -> Panel:
        """Draw a line through the centre column at a height; its right end is lower by so many degrees."""
        wide, high = self.picture.size
        rise = np.tan(np.radians(degrees)) * wide / 2
        ends = [(0, height * high - rise), (wide, height * high + rise)]
        ImageDraw.Draw(self.picture).line(ends, fill=colour, width=1)
        return self

    def crop(self, box: Box, level: float, colour: str = "white") -> Panel:
        """Dim what lies outside a crop on the levelled frame."""
        size = np.array(self.picture.size)
        corners = [tuple(point) for point in corners_on_frame(box, level, self.aspect) * size]
        mask = Image.new("L", self.picture.size, 0)
        ImageDraw.Draw(mask).polygon(corners, fill=255)
        self.picture = Image.composite(self.picture, self.picture.point(lambda v: int(v * DIM)), mask)
        ImageDraw.Draw(self.picture).polygon(corners, outline=colour)
        return self


def save_sheets(out: Path, name: str, rows: list[list[Panel]], rows_a_sheet: int = 7) -> None:
    """Write ``out/name-01.png`` and so on; every row is as long as the longest."""
    out.mkdir(parents=True, exist_ok=True)
    for number, start in enumerate(range(0, len(rows), rows_a_sheet), 1):
        part = rows[start : start + rows_a_sheet]
        sheet = Image.new("RGB", (max(map(len, part)) * (PANEL + 4), len(part) * (PANEL + 4)), "#333")
        pen = ImageDraw.Draw(sheet)
        for down, row in enumerate(part):
            for across, panel in enumerate(row):
                x, y = across * (PANEL + 4), down * (PANEL + 4)
                pen.text((x + 2, y), panel.says, fill="white")
                sheet.paste(panel.picture, (x, y + LINE))
        sheet.save(out / f"{name}-{number:02d}.png")

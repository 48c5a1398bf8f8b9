"""What is done to a print besides its tone, where a look asks for it: its falloff evened, grain given or taken."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.colour.falloff import falloff_gains
from setsolver.render.resample import Grid, Tile

__all__ = ["PLAIN_DRESS", "Dress"]


@dataclass(frozen=True, slots=True, eq=False)
class Dress:
    """ev : falloff that is added, in EV at the corners. grain : float32[h, w], added to L*; stretched over the print.

    Both belong to the crop; ``bleed`` pixels of the print's grid lie around it.
    """

    ev: float = 0.0
    grain: NDArray[np.float32] | None = None
    bleed: int = 0

    def lit(self, light: NDArray[np.float32], grid: Grid, tile: Tile) -> None:
        """Add the falloff to a tile's light; float32[3, rows, columns], changed in place."""
        if self.ev == 0:
            return
        width, height = grid.width - 2 * self.bleed, grid.height - 2 * self.bleed
        x = (np.arange(tile.left, tile.right) + 0.5 - self.bleed) / width * 2 - 1
        y = (np.arange(tile.top, tile.bottom) + 0.5 - self.bleed) / height * 2 - 1
        across, down = falloff_gains(x, y, width / height, self.ev)
        light *= across
        light *= down[:, None]

    def grained(self, lightness: NDArray[np.float32], grid: Grid, tile: Tile) -> NDArray[np.float32] | None:
        """Return what is added to a tile's L*; float32[rows, columns], None for nothing."""
        if self.grain is None:
            return None
        rows, columns = self.grain.shape
        across, down = columns / (grid.width - 2 * self.bleed), rows / (grid.height - 2 * self.bleed)
        x, y = (tile.left + 0.5 - self.bleed) * across - 0.5, (tile.top + 0.5 - self.bleed) * down - 0.5
        change = np.array([[across, 0, x], [0, down, y]])
        flags = cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP
        size = lightness.shape[::-1]
        found = cv2.warpAffine(self.grain, change, size, flags=flags, borderMode=cv2.BORDER_REFLECT_101)
        return np.asarray(found, np.float32)


PLAIN_DRESS: Final = Dress()

"""Pixels for a sheet, through a loader that the caller passes in: decoded once a frame, cut and corrected at need."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable

import numpy as np

from setsolver.domain.outcome import Correction, SetFrame
from setsolver.errors import SetsolverError
from setsolver.output.toned import Pixels, correct, cut

__all__ = ["DECODE", "Loader", "Pictures"]

Loader = Callable[[str, int], Pixels]
"""From a frame's path in the catalog and a long side in pixels to the upright sRGB picture, uint8[H, W, 3]; about that
size, or as large as the frame has. May raise OSError or SetsolverError where the file cannot be read any more."""

DECODE = 1600
"""Long side at which frames are asked for, so that crops of half a frame are still sharp on the sheet."""
_HELD = 48
_BLANK_GREY = 150
_UNTOUCHED = Correction(black=0, mid=0, white=0)


class Pictures:
    """Pictures by path. ``unreadable`` : path to reason, of frames that became grey because their file is gone."""

    def __init__(self, loader: Loader, decode: int = DECODE) -> None:
        self._loader = loader
        self._decode = decode
        self._held: OrderedDict[str, Pixels] = OrderedDict()
        self.unreadable: dict[str, str] = {}

    def whole(self, path: str, long_side: int) -> Pixels:
        """Return the whole frame, scaled down to a long side; uint8[h, w, 3]."""
        return cut(self._frame(path), (0.0, 0.0, 1.0, 1.0), 0.0, long_side)

    def as_shot(self, frame: SetFrame, long_side: int) -> Pixels:
        """Return a set's crop, levelled, under its treatment, without correction."""
        part = self._part(frame, long_side)
        return correct(part, frame.tone, _UNTOUCHED, "mono") if frame.treatment == "mono" else part

    def finished(self, frame: SetFrame, long_side: int) -> Pixels:
        """Return a set's crop, levelled and corrected."""
        return correct(self._part(frame, long_side), frame.tone, frame.correction, frame.treatment)

    def _part(self, frame: SetFrame, long_side: int) -> Pixels:
        return cut(self._frame(frame.path), frame.crop, frame.level_degrees, long_side)

    def _frame(self, path: str) -> Pixels:
        if path not in self._held:
            self._held[path] = self._load(path)
            if len(self._held) > _HELD:
                self._held.popitem(last=False)
        self._held.move_to_end(path)
        return self._held[path]

    def _load(self, path: str) -> Pixels:
        """Return the decoded frame; a file that vanished leaves a grey field and its reason, and the sheet goes on."""
        try:
            return self._loader(path, self._decode)
        except (OSError, SetsolverError) as error:
            self.unreadable[path] = str(error)
            return np.full((200, 300, 3), _BLANK_GREY, np.uint8)

"""Pictures of the board as JPEG: whole frames, and prints as a set cuts and tones them; decoded once, kept in memory.

Only frames of the catalog, and only cuts that the board itself has shown, can be asked for.
"""

from __future__ import annotations

import hashlib
import threading
from collections import OrderedDict
from collections.abc import Callable
from pathlib import Path
from typing import Generic, NamedTuple, TypeVar

import numpy as np

from setsolver.catalog.paths import to_file
from setsolver.catalog.reader import picture
from setsolver.domain.frame import Frame
from setsolver.domain.outcome import Correction, SetFrame
from setsolver.errors import FrameRefused, NoSuchFrame
from setsolver.output.jpeg import jpeg
from setsolver.output.toned import Pixels, correct, cut

__all__ = ["SIDES", "BoardPictures"]

SIDES = (240, 640, 1400)
"""Long sides in pixels that can be asked for: a row of the tray, a print of nine, a print of one on a dense screen."""
_SHOWN, _DECODED_BYTES, _JPEG_BYTES = 20_000, 200_000_000, 100_000_000
_DECODERS = 2
_UNTOUCHED = Correction(black=0, mid=0, white=0)
Value = TypeVar("Value")


class _Seen(NamedTuple):
    """What tells the picture of a frame from every other one. content : digest of its file."""

    path: str
    turn: int
    content: bytes


class _Recent(Generic[Value]):
    """What was used last, up to an amount; safe to use from several threads."""

    def __init__(self, most: int, size: Callable[[Value], int]) -> None:
        self._most, self._size, self._held = most, size, 0
        self._values: OrderedDict[object, Value] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: object) -> Value | None:
        with self._lock:
            if key in self._values:
                self._values.move_to_end(key)
            return self._values.get(key)

    def put(self, key: object, value: Value) -> None:
        with self._lock:
            if key in self._values:
                self._held -= self._size(self._values.pop(key))
            self._values[key] = value
            self._held += self._size(value)
            while self._held > self._most and len(self._values) > 1:
                self._held -= self._size(self._values.popitem(last=False)[1])


class BoardPictures:
    """Pictures of one catalog. folder : of the catalog."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._shown: _Recent[tuple[SetFrame, _Seen]] = _Recent(_SHOWN, lambda _: 1)
        self._whole: _Recent[Pixels] = _Recent(_DECODED_BYTES, lambda rgb: rgb.nbytes)
        self._jpegs: _Recent[bytes] = _Recent(_JPEG_BYTES, len)
        self._decoders = threading.Semaphore(_DECODERS)

    def show(self, frame: SetFrame, whole: Frame) -> str:
        """Keep how a set uses a frame, and return the key of that picture, 20 digits.

        whole : the frame as the catalog has it. Cut alike, it is another picture upside down, or from another file.
        """
        parts = (frame.path, frame.crop, frame.level_degrees, frame.treatment, frame.tone, frame.correction)
        key = hashlib.sha256(
            repr((*parts, frame.width, frame.height, *_seen(whole))).encode("utf-8", "surrogateescape")
        ).hexdigest()
        self._shown.put(key[:20], (frame, _seen(whole)))
        return key[:20]

    def print_jpeg(self, key: str, side: int, frame_of: Callable[[str], Frame | None], *, corrected: bool) -> bytes:
        """Return a print, corrected or as shot, whose key ``show`` gave out.

        Raises
        ------
        NoSuchFrame
            Where nobody was shown it, or its frame is gone from the catalog. FrameRefused : where the file is.
        """
        name = (key, side, corrected)
        known = self._shown.get(key)
        if known is None or frame_of(known[0].path) is None:
            raise NoSuchFrame("this picture is not on the board any more; load the page again")
        shown, seen = known
        found = self._jpegs.get(name)
        if found is None:
            part = cut(self._decoded(seen, max(SIDES)), shown.crop, shown.level_degrees, side)
            amount = shown.correction if corrected else _UNTOUCHED
            found = jpeg(correct(part, shown.tone, amount, shown.treatment) if _toned(shown, amount) else part)
            self._jpegs.put(name, found)
        return found

    def frame_jpeg(self, frame: Frame, side: int) -> bytes:
        """Return a whole frame, upright. Raises FrameRefused where its file cannot be read any more."""
        seen = _seen(frame)
        name = (seen, side)
        found = self._jpegs.get(name)
        if found is None:
            found = jpeg(cut(self._decoded(seen, side), (0.0, 0.0, 1.0, 1.0), 0.0, side))
            self._jpegs.put(name, found)
        return found

    def _decoded(self, seen: _Seen, side: int) -> Pixels:
        name = (seen, side)
        found = self._whole.get(name)
        if found is None:
            try:
                with self._decoders:
                    rgb = picture(to_file(self._folder, seen.path), side, seen.turn)
            except FrameRefused as error:
                raise FrameRefused(f"{seen.path}: {error}") from error
            found = np.ascontiguousarray(rgb)
            if side > min(SIDES):  # small ones are kept as JPEG only
                self._whole.put(name, found)
        return found


def _seen(frame: Frame) -> _Seen:
    return _Seen(frame.path, frame.turn or 0, frame.content)


def _toned(frame: SetFrame, amount: Correction) -> bool:
    return frame.treatment == "mono" or amount != _UNTOUCHED

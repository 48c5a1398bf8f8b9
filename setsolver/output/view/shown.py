"""A picture that a sheet shows: which frame, how, how large, and what to read instead of it."""

from __future__ import annotations

from typing import Literal, NamedTuple

from setsolver.domain.outcome import SetFrame
from setsolver.output.view.words import inert, name_of

__all__ = ["Shown", "as_shot", "finished", "frame_alt", "thumbnail", "whole"]


class Shown(NamedTuple):
    """path : of the frame. frame : its use in a set, None for a frame that is in none. aspect : width over height.

    long_side : pixels. alt : text in place of the picture.
    """

    path: str
    frame: SetFrame | None
    how: Literal["finished", "as_shot", "whole"]
    aspect: float
    long_side: int
    alt: str


def frame_alt(frame: SetFrame, number: int, state: str) -> str:
    """Return "Print 2, medium: kiln-014.jpg, as it will be printed"."""
    return f"Print {number}, {inert(frame.plays)}: {name_of(frame.path)}, {state}"


def finished(frame: SetFrame, number: int, long_side: int) -> Shown:
    """Return the crop as it will be printed."""
    place = frame.position
    alt = frame_alt(frame, number, "as it will be printed")
    return Shown(frame.path, frame, "finished", place.width_cm / place.height_cm, long_side, alt)


def as_shot(frame: SetFrame, number: int, long_side: int) -> Shown:
    """Return the crop before its tone is corrected."""
    place = frame.position
    alt = frame_alt(frame, number, "cropped, before correction")
    return Shown(frame.path, frame, "as_shot", place.width_cm / place.height_cm, long_side, alt)


def whole(frame: SetFrame, number: int, long_side: int) -> Shown:
    """Return the whole frame as it was shot."""
    alt = frame_alt(frame, number, "the whole frame with the crop drawn on it")
    return Shown(frame.path, frame, "whole", frame.width / frame.height, long_side, alt)


def thumbnail(path: str, long_side: int, alt: str) -> Shown:
    """Return a whole frame that is in no set; its aspect is not known beforehand (0)."""
    return Shown(path, None, "whole", 0.0, long_side, alt)

"""What was measured of each frame, as a document (``setsolver/frames`` version 1), of which its schema is made.

Boxes are x, y, width and height in fractions of the upright frame; tones L*a*b* (D65).
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from setsolver.domain.document import Document

__all__ = ["FrameFace", "FrameMeasured", "FrameRefused", "FrameTone", "Frames", "KindOdds", "ScaleShares"]

Share = Annotated[float, Field(ge=0, le=1)]
Fractions = tuple[float, float, float, float]
KindName = Literal["photograph", "document", "screen"]


class ScaleShares(Document):
    """Odds of each shot scale."""

    wide: Share
    medium: Share
    close: Share


class KindOdds(Document):
    """Odds of what a frame is; screen: a slide, a screen or a graphic."""

    photograph: Share
    document: Share
    screen: Share


class FrameTone(Document):
    """See ``setsolver.domain.measures.Tone``."""

    black: float
    white: float
    mid: float
    contrast: float
    cast_a: float
    cast_b: float
    colourfulness: float
    clipped_low: Share
    clipped_high: Share
    vignette: float
    neutral_share: Share


class FrameFace(Document):
    """One face. facing : as the viewer sees it."""

    box: Fractions
    facing: Literal["left", "right", "front"]
    score: Share


class FrameMeasured(Document):
    """One frame.

    time, time_from : local, ISO 8601, the date alone where no more is known, and where it is from: the metadata, the
    file's name, the day in it, and by how much the user's word on the camera's clock moved it.
    said, turn, stars : the user's own scale, degrees and stars, None where nothing was said. upright : degrees
    clockwise that make it stand upright, None where nobody can tell; its confidence is None of a frame that was turned
    by the user's word. appeal, appeal_spread : 1 to 5 after the user's stars, and its standard deviation; None, as
    kind_odds and upright are, where a quick scan left them for later. kind : the user's word, else as measured, a
    photograph until then.
    """

    path: str
    time: str | None
    time_from: str | None
    size: tuple[int, int]
    scale: ScaleShares
    said: Literal["wide", "medium", "close"] | None
    turn: Literal[0, 90, 180, 270] | None
    upright: Literal[0, 90, 180, 270] | None
    upright_confidence: Share | None
    tone: FrameTone
    tilt_degrees: float | None
    faces: tuple[FrameFace, ...]
    subject: Fractions
    sharpness: Share
    grain: float
    quality: Share
    appeal: Annotated[float, Field(ge=1, le=5)] | None
    appeal_spread: float | None
    stars: Annotated[float, Field(ge=0, le=5)] | None
    kind: KindName
    kind_odds: KindOdds | None
    moment: int
    scene: int
    chapter: int
    note: str


class FrameRefused(Document):
    """A file that could not be measured, and why in a sentence."""

    path: str
    why: str


class Frames(Document):
    """All frames of a catalog in order of path, and refused files."""

    format: Literal["setsolver/frames"]
    version: Literal[1]
    frames: tuple[FrameMeasured, ...]
    refused: tuple[FrameRefused, ...]

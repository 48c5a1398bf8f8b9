"""Each frame of a set with its facts: crop on the whole frame, levelling, print, scale, tone, and what it earns."""

from __future__ import annotations

from typing import NamedTuple

from setsolver.domain.brief import Brief
from setsolver.domain.geometry import Box, corners_on_frame
from setsolver.domain.outcome import SetFound, SetFrame, ToneRecord
from setsolver.domain.tone_curve import reached
from setsolver.output.view.captions import caption_of
from setsolver.output.view.ledger import lines_of
from setsolver.output.view.shown import Shown, finished, whole
from setsolver.output.view.words import (
    correction_in_words,
    inert,
    moment,
    name_of,
    number,
    number_cm,
    per_cent,
    points,
    signed,
)
from setsolver.rules.tone import counted

__all__ = ["AXES", "FrameView", "ToneRow", "frame_views"]

AXES = (
    ("black", "Black point"),
    ("mid", "Mid tone"),
    ("white", "White point"),
    ("cast_a", "Cast a*"),
    ("cast_b", "Cast b*"),
    ("vignette", "Vignette, EV"),
    ("grain", "Grain"),
)
"""Tone axes as the sheet names them; which of them count, the brief says."""


_WHOLE = 0.995
"""Share of a frame from which a crop counts as the whole: the rest is a rounding of its pixels."""


class ToneRow(NamedTuple):
    """One axis of a frame's tone: as shot, the correction, after it, and the look."""

    name: str
    before: str
    change: str
    after: str
    look: str


class FrameView(NamedTuple):
    """A frame of the set.

    cut : True where the print is not the whole frame. outline : the crop's corners on the whole frame, "x,y x,y ..." in
    a field 1000 wide. facts : (what, words). earns : (rule, points, sentence) of the ledger lines that speak of it
    alone.
    """

    number: int
    caption: str
    frame: SetFrame
    name: str
    finished: Shown
    whole: Shown
    cut: bool
    outline: str
    field_height: float
    facts: tuple[tuple[str, str], ...]
    tones: tuple[ToneRow, ...]
    tone: ToneRecord
    after: ToneRecord
    look: ToneRecord
    earns: tuple[tuple[str, float, str], ...]
    total: str


def frame_views(brief: Brief, found: SetFound, large: int, small: int) -> tuple[FrameView, ...]:
    """Return the frames of a set; large, small : long sides of finished and whole pictures."""
    return tuple(_view(brief, found, frame, n, large, small) for n, frame in enumerate(found.frames, 1))


def _view(brief: Brief, found: SetFound, frame: SetFrame, n: int, large: int, small: int) -> FrameView:
    aspect = frame.width / frame.height
    corners = corners_on_frame(Box(*frame.crop), frame.level_degrees, aspect)
    height = 1000 / aspect
    lines = lines_of(found, frame.path)
    return FrameView(
        number=n,
        caption=caption_of(brief, frame),
        frame=frame,
        name=name_of(frame.path),
        finished=finished(frame, n, large),
        whole=whole(frame, n, small),
        cut=_kept(frame) <= _WHOLE or number(frame.level_degrees) != "0.0",
        outline=" ".join(f"{x * 1000:.1f},{y * height:.1f}" for x, y in corners),
        field_height=height,
        facts=_facts(frame),
        tones=_tones(brief, found, frame),
        tone=frame.tone,
        after=reached(frame.tone, frame.correction),
        look=found.look,
        earns=tuple((rule, line.points, inert(line.says)) for rule, line in lines),
        total=points(sum(line.points for _, line in lines)),
    )


def _facts(frame: SetFrame) -> tuple[tuple[str, str], ...]:
    place = frame.position
    return (
        ("File", inert(frame.path)),
        ("Shot", moment(frame.time)),
        (
            "Print",
            f"{number_cm(place.width_cm)} \u00d7 {number_cm(place.height_cm)} cm at {frame.ppi:.0f} pixels per inch",
        ),
        ("Crop", _crop(frame)),
        ("Levelling", _levelling(frame)),
        ("Reads as", ", ".join(f"{inert(scale)} {per_cent(share)}" for scale, share in frame.scale.items())),
        ("Printed in", "black and white" if frame.treatment == "mono" else "colour"),
        ("Correction", correction_in_words(frame.correction)),
    )


def _kept(frame: SetFrame) -> float:
    """Return the share of the frame that its crop keeps."""
    return frame.crop_width * frame.crop_height / (frame.width * frame.height)


def _crop(frame: SetFrame) -> str:
    share = _kept(frame)
    if share > _WHOLE:
        return f"the whole frame, {frame.crop_width} \u00d7 {frame.crop_height} pixels"
    size = f"{frame.crop_width} \u00d7 {frame.crop_height} of {frame.width} \u00d7 {frame.height} pixels"
    kind = "; a tighter view of the frame" if frame.rendition == "tighter" else ""
    return f"{size}, {per_cent(share)} of the frame{kind}"


def _levelling(frame: SetFrame) -> str:
    if number(frame.level_degrees) == "0.0":
        return "none needed"
    way = "counter-clockwise" if frame.level_degrees > 0 else "clockwise"
    return f"turned {abs(frame.level_degrees):.1f}\u00b0 {way}, at {per_cent(frame.level_cost, 1)} of the crop's area"


def _tones(brief: Brief, found: SetFound, frame: SetFrame) -> tuple[ToneRow, ...]:
    counts = counted(brief.tone.slack, frame.treatment)
    after = reached(frame.tone, frame.correction)
    return tuple(
        ToneRow(
            name,
            number(getattr(frame.tone, axis)),
            signed(getattr(after, axis) - getattr(frame.tone, axis)),
            number(getattr(after, axis)),
            number(getattr(found.look, axis)),
        )
        for axis, name in AXES
        if axis in counts
    )

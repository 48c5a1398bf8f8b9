"""Prints framed by hand: what a crop would be, and keeping it. Tone and pixels per inch follow the crop."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from setsolver.crops.by_hand import crop_by_hand
from setsolver.crops.columns import stack_frames
from setsolver.crops.rendered import to_renditions
from setsolver.crops.renditions import keeps_subject
from setsolver.domain.brief import CropWish
from setsolver.domain.geometry import parse_aspect
from setsolver.domain.outcome import Correction, ToneRecord
from setsolver.domain.rendition import Look
from setsolver.domain.slot import pixels_needed
from setsolver.domain.units import CM_PER_INCH
from setsolver.errors import BadInput
from setsolver.output.view.words import correction_in_words, inert
from setsolver.rules import correction

if TYPE_CHECKING:
    from setsolver.domain.outcome import SetFrame
    from setsolver.usecases.board import acts
    from setsolver.usecases.board.state import BoardState

__all__ = ["frame_by_hand", "framing"]


_SPARE = 0.0005
"""Of the largest crop's sides, so that rounding leaves pixels enough."""


def framing(state: BoardState, key: str, wish: CropWish) -> dict[str, Any]:
    """Return what a hung print would be if it were framed so, and the key of its picture.

    share and least : its size against the largest crop, and the least that has pixels enough.
    """
    frame, print_ = state.frame(key), state.print_of(key)
    made, table = _made(state, print_, wish)
    whole = stack_frames((frame,))
    least = pixels_needed(print_.print_cm, _min_ppi(state, print_)) * float(table.linear[0]) / table.pixels.max()
    return {
        "revision": state.revision,
        "frame": key,
        "box": list(made.crop),
        "x": made.crop[0] + made.crop[2] / 2,
        "y": made.crop[1] + made.crop[3] / 2,
        "share": float(table.linear[0]),
        "least": min(1.0, float(least) + _SPARE),
        "level": made.level_degrees,
        "ppi": made.ppi,
        "tone": correction_in_words(made.correction),
        "picture": state.pictures.show(made, frame),
        "keeps": bool(keeps_subject(table.marks, whole)[0]),
        "by_hand": frame.path in state.session.brief.crops,
    }


def frame_by_hand(state: BoardState, act: acts.Crop) -> str:
    """Change how a print is framed, and say what was done; whoever frames a print wants it in.

    Raises
    ------
    BadInput
        Where the crop has too few pixels for its print.
    """
    session, path = state.session, state.frame(act.frame).path
    crops = {key: wish for key, wish in session.brief.crops.items() if key != path}
    wish = CropWish.model_validate({key: getattr(act, key) for key in CropWish.model_fields})
    if wish == CropWish():
        session.change(crops=crops)
        return "is framed as measures put it"
    print_ = state.print_of(act.frame)
    made, _ = _made(state, print_, wish)
    least = _min_ppi(state, print_)
    if made.ppi < least - 0.5:
        raise BadInput(
            f"this crop of {inert(path)} has {made.ppi:.0f} pixels per inch at {print_.print_cm:g} cm, the brief asks "
            f"for {least:g}; make the crop larger, or the print smaller"
        )
    wishes = session.brief.frames
    pinned = path in session.named(wishes.include)
    frames = wishes if pinned else wishes.model_copy(update={"include": (*wishes.include, path)})
    session.change(crops={**crops, path: wish}, frames=frames.model_dump())
    return "is framed by hand" if pinned else "is framed by hand, and so pinned"


def _min_ppi(state: BoardState, print_: SetFrame) -> float:
    return next((slot.min_ppi for slot in state.session.brief.slots if slot.name == print_.slot), 0.0)


def _made(state: BoardState, print_: SetFrame, wish: CropWish) -> tuple[SetFrame, Any]:
    """Return a print framed so, with the table of its one crop."""
    frame, tone = state.by_path[print_.path], state.session.brief.tone
    table = crop_by_hand(frame, parse_aspect(print_.aspect), wish)
    (rendition,) = to_renditions((frame,), table, tone.treatment)
    amounts = correction(Look(**state.hung().look.model_dump()), rendition.tone, tone.slack, tone.treatment)
    made = print_.model_copy(
        update={
            "crop": tuple(rendition.crop),
            "level_degrees": rendition.level,
            "level_cost": rendition.level_cost,
            "crop_width": rendition.width,
            "crop_height": rendition.height,
            "ppi": max(rendition.width, rendition.height) / (print_.print_cm / CM_PER_INCH),
            "tone": ToneRecord(**rendition.tone._asdict()),
            "correction": Correction(**amounts._asdict()),
        }
    )
    return made, table

"""What was measured of each frame as a document, and the user's corrections."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from setsolver.domain.corrections import MEASURED, checked
from setsolver.domain.frame import Frame
from setsolver.domain.measures import KINDS, SCALES
from setsolver.domain.snapshot import Snapshot
from setsolver.errors import BadInput, NoSuchFrame
from setsolver.usecases.home import own_path
from setsolver.usecases.index import open_index

__all__ = ["Said", "correct", "frames_document"]


Said = Mapping[str, Mapping[str, str | None]]
"""What is said of frames by path and name (``domain.corrections``); None takes it back."""


def correct(folder: Path, said: Said) -> dict[str, dict[str, str | None]]:
    """Keep what the user says of frames against what was measured: all of it, or nothing where some is wrong.

    A path is the catalog's own, or leads to the frame's file from the current folder. Returns what was said by the
    catalog's own paths. A frame that is to be turned is measured again, turned, by the next scan.

    Raises
    ------
    NoSuchFrame
        Where the index has no frame of this path. BadInput : where what is said is nothing that can be said, or two
        paths lead to one frame and say different things.
    """
    with open_index(folder) as store:
        kept, known = dict[str, dict[str, str | None]](), frozenset[str]()
        for path, values in said.items():
            if not (held := store.holds(path)):
                known = known or store.paths()  # read once, however many paths lead there from elsewhere
            own = path if held else _found(folder, path, known)
            for name, value in values.items():
                checked(name, value)
                if kept.setdefault(own, {}).setdefault(name, value) != value:
                    raise BadInput(
                        f"{own!r} is said to be {name}={kept[own][name] or MEASURED} and {name}={value or MEASURED}; "
                        "say one"
                    )
        store.correct(kept)
    return kept


def _found(folder: Path, path: str, known: Collection[str]) -> str:
    """Return a frame's own path of one that is written otherwise, or leads to it from the current folder."""
    if (own := own_path(folder, path, known)) is not None:
        return own
    near = get_close_matches(path, known, n=1, cutoff=0.4)
    hint = f"; did you mean {near[0]!r}?" if near else "; `setsolver frames` lists them"
    raise NoSuchFrame(f"no frame {path!r} in {str(folder)!r}{hint}")


def frames_document(snapshot: Snapshot) -> dict[str, Any]:
    """Return the document ``setsolver/frames`` version 1: every frame with its measures, refused files with reasons."""
    return {
        "format": "setsolver/frames",
        "version": 1,
        "frames": [_frame(frame) for frame in snapshot.frames],
        "refused": [{"path": out.path, "why": out.why} for out in snapshot.refused],
    }


def _frame(frame: Frame) -> dict[str, Any]:
    measures = frame.measures
    return {
        "path": frame.path,
        "time": frame.shot.taken,
        "time_from": frame.shot.time_from or None,
        "size": [frame.width, frame.height],
        "scale": dict(zip(SCALES, map(_short, frame.odds), strict=True)),
        "said": frame.said,
        "turn": frame.turn,
        "upright": frame.upright,
        "upright_confidence": None if measures.upright is None else _short(measures.upright.confidence),
        "tone": {name: _short(value) for name, value in measures.tone._asdict().items()},
        "tilt_degrees": None if measures.tilt.degrees is None else _short(measures.tilt.degrees),
        "faces": [
            {"box": [_short(part) for part in face.box], "facing": face.facing, "score": _short(face.score)}
            for face in measures.faces
        ],
        "subject": [_short(part) for part in measures.subject.box],
        "sharpness": _short(measures.detail.sharpness),
        "grain": _short(measures.detail.grain),
        "quality": _short(measures.quality),
        "appeal": None if measures.appeal is None else _short(measures.appeal.value),
        "appeal_spread": None if measures.appeal is None else _short(measures.appeal.spread),
        "stars": frame.given_stars,
        "kind": frame.kind,
        "kind_odds": None if measures.kind is None else dict(zip(KINDS, map(_short, measures.kind), strict=True)),
        "moment": frame.moment,
        "scene": frame.scene,
        "chapter": frame.chapter,
        "note": frame.note,
    }


def _short(value: float) -> float:
    """Return a number to four decimals: more would claim a precision that no measure has."""
    return round(float(value), 4)

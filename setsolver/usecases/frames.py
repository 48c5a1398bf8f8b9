"""What was measured of each frame as a document, and the user's corrections."""

from __future__ import annotations

import os
from collections.abc import Collection, Mapping
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from setsolver.catalog.paths import to_text
from setsolver.catalog.place import index_file
from setsolver.catalog.store import Store
from setsolver.domain.frame import Frame
from setsolver.domain.measures import SCALES
from setsolver.domain.snapshot import Snapshot
from setsolver.errors import BadInput, NoSuchFrame
from setsolver.usecases.scan import MEASURE_VERSION

__all__ = ["correct", "frames_document"]


def correct(folder: Path, scales: Mapping[str, str | None]) -> dict[str, str | None]:
    """Keep the user's own scales of frames by path, None to take one back: all of them, or none where one is wrong.

    A path is the catalog's own, or leads to the frame's file from the current folder. Returns what was said by the
    catalog's own paths.

    Raises
    ------
    NoSuchFrame
        Where the index has no frame of this path. BadInput : where a scale is none of the three, or two paths lead to
        one frame and say different scales.
    """
    with Store(index_file(folder), MEASURE_VERSION) as store:
        known, kept = store.known(), dict[str, str | None]()
        for path, scale in scales.items():
            if scale is not None and scale not in SCALES:
                raise BadInput(f"{scale!r} is no scale; say one of {', '.join(SCALES)}")
            own = _own_path(folder, path, known)
            if kept.setdefault(own, scale) != scale:
                raise BadInput(f"{own!r} is said to be {kept[own] or 'measured'} and {scale or 'measured'}; say one")
        store.correct(kept)
    return kept


def _own_path(folder: Path, path: str, known: Collection[str]) -> str:
    if path in known:
        return path
    for base in (folder, Path()):
        own = os.path.relpath(base / path, folder)
        if (text := to_text(Path(own).as_posix())) in known:
            return text
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
        "time": frame.shot.time.isoformat() if frame.shot.time else None,
        "size": [frame.width, frame.height],
        "scale": dict(zip(SCALES, map(_short, frame.odds), strict=True)),
        "said": frame.said,
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
        "moment": frame.moment,
        "scene": frame.scene,
        "chapter": frame.chapter,
        "note": frame.note,
    }


def _short(value: float) -> float:
    """Return a number to four decimals: more would claim a precision that no measure has."""
    return round(float(value), 4)

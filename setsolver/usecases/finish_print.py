"""One frame of a set to one file for the lab: opened, toned to the look, drawn, written whole, and measured again."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from setsolver.colour.falloff import with_falloff
from setsolver.colour.profile import srgb_curves
from setsolver.colour.toning import toned as apply_tone
from setsolver.domain.finish import FinishedPrint, SoftProof
from setsolver.domain.geometry import Box
from setsolver.domain.outcome import SetFrame
from setsolver.domain.units import CM_PER_INCH, MM_PER_INCH
from setsolver.render.draw import drawn, region_of, untoned
from setsolver.render.grade import Target
from setsolver.render.original import Original, read_original
from setsolver.render.raw import matched
from setsolver.render.resample import Grid, grid_of
from setsolver.render.room import Room
from setsolver.render.save import ENDINGS, OutProfile, Paper, load_profile
from setsolver.render.sharpen import PLAIN, Sharpening, sharpening_for
from setsolver.render.softproof import OUTSIDE, soft_proof
from setsolver.usecases.finish_file import Making, put, written
from setsolver.usecases.finish_size import Size, Wish, same_picture
from setsolver.usecases.finish_tone import SMALL, Aim, Toned, beyond, found

__all__ = ["Job", "make_print"]

_THREADS: Final = os.cpu_count() or 1
_rooms: Final = threading.local()
"""Of each thread that makes prints: the next one is read, drawn and read back where the one before was."""
WEB_FOLDER: Final = "web"
PROOF_FOLDER: Final = "soft-proof"
NOT_JUDGED: Final = 6.0
"""L* by which a frame's mid tone may differ from what the outcome says before it is taken for another picture."""


@dataclass(frozen=True, slots=True)
class Job:
    """One print to make.

    file : the original. raw : develop it. turn : degrees clockwise, as the user said. name : of the file, without
    ending. judged : the small picture that the set was chosen by, for what has to be brought to its tone.
    known : an earlier finish wrote the print down, so a file of its name that differs now was changed by somebody.
    alone : its folder is of this work alone, so a file of its name was left by a process that ended before it answered.
    """

    number: int
    frame: SetFrame
    file: Path
    raw: bool
    turn: int
    name: str
    digest: str
    aim: Aim
    judged: Callable[[], NDArray[np.uint8]]
    packet: Callable[[FinishedPrint], bytes]
    known: bool = False
    alone: bool = False


def make_print(job: Job, wish: Wish, folder: Path, heed: Callable[[], None] = lambda: None) -> FinishedPrint:
    """Make one print and return what was measured on its file.

    Raises
    ------
    FrameRefused
        Where the original cannot be opened, or is not the picture that was judged.
    BadInput
        Where the file cannot be written.
    """
    size = Size(job.frame, wish)

    def grid_for(width: int, height: int) -> Grid:
        same_picture(job.frame, width, height, raw=job.raw)
        return size.outer_grid(width, height)

    original = read_original(job.file, region_of(grid_for), raw=job.raw, turn=job.turn, into=_room("original"))
    heed()
    small = untoned(original, size.inner_grid(original.width, original.height, SMALL))
    toned, said = _toned(small, job)
    notes = [original.note] if original.note else []
    record = _record(job, wish, size, toned, [*notes, *said, *size.said(wish)])
    paper = Paper(wish.format, wish.profile, size.ppi, size.border, job.packet(record))
    grid = grid_for(original.width, original.height)
    target: Target = "d50" if wish.profile.file else "srgb8" if wish.format == "jpeg" else "srgb"
    sharpening = PLAIN if wish.proof else sharpening_for(size.width_cm, size.height_cm, size.ppi)

    def draw(now: Toned) -> NDArray[Any]:
        return drawn(
            original,
            grid,
            now.toning,
            sharpening,
            target,
            threads=_THREADS,
            heed=heed,
            into=_room("print"),
            dress=replace(now.dress, bleed=size.bleed),
        )

    making = Making(draw, original, size, paper, job.aim, _room("file"), job.known, job.alone)
    record, toned = written(making, toned, folder / record.file, record)
    return _with_more(record, small, original, wish, toned, folder, paper.xmp)


def _room(what: str) -> Room:
    room: Room = vars(_rooms).setdefault(what, Room())
    return room


def _record(job: Job, wish: Wish, size: Size, toned: Toned, notes: list[str]) -> FinishedPrint:
    """Return what is known of a print before its file is there."""
    frame, (width, height) = job.frame, size.file
    return FinishedPrint(
        number=job.number,
        file=job.name + ENDINGS[wish.format],
        source=frame.path,
        width=width,
        height=height,
        ppi=size.ppi,
        print_width_cm=size.width_cm,
        print_height_cm=size.height_cm,
        bleed_mm=size.bleed / size.ppi * MM_PER_INCH,
        border_mm=size.border / size.ppi * MM_PER_INCH,
        profile=wish.profile.name,
        crop=frame.crop,
        degrees=frame.level_degrees,
        turn=job.turn,
        treatment=frame.treatment,
        tone=toned.expected,
        beyond=beyond(job.aim, toned.expected),
        applied=toned.applied,
        place=frame.position,
        notes=tuple(notes),
        source_digest=job.digest,
        digest="",
    )


def _toned(small: NDArray[np.float32], job: Job) -> tuple[Toned, list[str]]:
    """Return the correction of a print, and what is to be said of it."""
    said: list[str] = []
    first = None
    if job.raw:
        judged = job.judged()
        height, width = judged.shape[:2]
        view = Original(judged, (0, 0), width, height, srgb_curves(256))
        shape = small.shape[1], small.shape[0]
        grid = grid_of(Box(*job.frame.crop), job.frame.level_degrees, (width, height), shape)
        first, moved = matched(small, untoned(view, grid))
        said.append(f"its tone was brought to the preview that was judged: L* moved by {moved:.1f} on average")
    toned = found(small, job.aim, first, job.number)
    away = abs(toned.tone.mid - job.frame.tone.mid)
    if away > NOT_JUDGED:
        said.append(
            f"its mid tone measures L* {toned.tone.mid:.1f} on the original and was {job.frame.tone.mid:.1f} when the "
            "set was made"
        )
    return toned, said


def _with_more(
    record: FinishedPrint,
    small: NDArray[np.float32],
    original: Original,
    wish: Wish,
    toned: Toned,
    folder: Path,
    xmp: bytes,
) -> FinishedPrint:
    """Return a print with its soft proof and its picture for the web."""
    more: dict[str, Any] = {}
    if wish.profile.file is not None:
        more["soft_proof"] = _soft_proof(
            record, apply_tone(with_falloff(small, toned.applied.vignette), toned.toning), wish.profile, folder, xmp
        )
    if wish.web is not None:
        more["web"] = _web(record, original, wish.web, toned, folder, xmp)
    return record.model_copy(update=more)


def _soft_proof(
    record: FinishedPrint, lab: NDArray[np.float32], profile: OutProfile, folder: Path, xmp: bytes
) -> SoftProof:
    found = soft_proof(lab, profile)
    name = None
    if found.picture is not None:
        name = f"{PROOF_FOLDER}/{Path(record.file).stem}.jpg"
        put(found.picture, folder / name, Paper("jpeg", load_profile(None), record.ppi, 0, xmp))
    return SoftProof(outside=found.outside, mean=found.mean, worst=found.worst, threshold=OUTSIDE, picture=name)


def _web(record: FinishedPrint, original: Original, pixels: int, toned: Toned, folder: Path, xmp: bytes) -> str:
    full = record.print_width_cm / CM_PER_INCH * record.ppi, record.print_height_cm / CM_PER_INCH * record.ppi
    scale = min(1.0, pixels / max(full))
    width, height = (max(1, round(side * scale)) for side in full)
    grid = grid_of(Box(*record.crop), record.degrees, (original.width, original.height), (width, height))
    codes = drawn(original, grid, toned.toning, Sharpening(0.5), "srgb8", threads=_THREADS, dress=toned.dress)
    name = f"{WEB_FOLDER}/{Path(record.file).stem}.jpg"
    put(codes, folder / name, Paper("jpeg", load_profile(None), 96.0, 0, xmp))
    return name

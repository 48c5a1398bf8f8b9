"""A print's file: written whole under a name of its own, opened again, measured, and only then given its name."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import pyvips
from numpy.typing import NDArray

from setsolver.catalog.digest import running_digest
from setsolver.domain.finish import FinishedPrint
from setsolver.domain.outcome import ToneRecord
from setsolver.errors import BadInput
from setsolver.render.original import Original
from setsolver.render.readback import FileSeen, Hear, read_back
from setsolver.render.register import shift_of, squares_of
from setsolver.render.room import Room
from setsolver.render.save import Paper, save
from setsolver.usecases.finish_size import Size
from setsolver.usecases.finish_tone import SMALL, Aim, Toned, beyond, tone_of
from setsolver.writing import aside, claim

__all__ = ["CLOSE", "MISS", "OFF_PLACE", "Making", "put", "written"]

CLOSE: Final = 0.3
"""L* or a*b* beyond the slack from which a print is drawn once more."""
MISS: Final = 1.0
"""L* or a*b* beyond the slack from which a print is warned of."""
OFF_PLACE: Final = 0.5
"""Pixels of the print by which its picture may lie off its crop before it is warned of."""
_FULL: Final = os.strerror(errno.ENOSPC)
_OWN: Final = b"setsolver:Set"
_PACKET: Final = 1 << 18
"""Bytes at either end of a file in which a packet is looked for."""


@dataclass(frozen=True, slots=True)
class Making:
    """What a print's file is made of and held to.

    room : for what is read back.
    known : an earlier finish wrote the print down, so a file of its name that differs now was changed by somebody.
    alone : its folder is of this work alone, so a file of its name was left by a process that ended before it answered.
    """

    draw: Callable[[Toned], NDArray[Any]]
    original: Original
    size: Size
    paper: Paper
    aim: Aim
    room: Room
    known: bool = False
    alone: bool = False


def written(making: Making, toned: Toned, path: Path, record: FinishedPrint) -> tuple[FinishedPrint, Toned]:
    """Write a file and return what was measured on it.

    Where its tones lie more than ``CLOSE`` beyond the slack, it is drawn once more with what it lacked.

    Raises
    ------
    BadInput
        Where the file cannot be written.
    """
    for last in (False, True):
        with aside(path) as part:
            digest = running_digest()
            seen = _saved(making, toned, part, path, digest.update)
            tone = tone_of(seen.rgb)
            lack = beyond(making.aim, tone)
            if not last and max(abs(value) for value in lack.model_dump().values()) > CLOSE:
                toned = toned.nudged(lack)
                continue
            shift = shift_of(seen.green, making.original, making.size.inner_grid(*_frame(making.original)))
            warnings = [*_misses(lack), *_differs(seen, record), *_off(shift)]
            claim(part, path, None if making.known else _any if making.alone else _ours)
            break
    now = {"tone": tone, "beyond": lack, "shift_px": shift, "warnings": tuple(warnings), "digest": digest.hexdigest()}
    return record.model_copy(update={**now, "applied": toned.applied}), toned


def _frame(original: Original) -> tuple[int, int]:
    return original.width, original.height


def _saved(making: Making, toned: Toned, part: Path, path: Path, hear: Hear) -> FileSeen:
    """Write a file and open it again; hear : called with what is on it."""
    codes, size = making.draw(toned), making.size
    try:
        save(codes, part, making.paper)
        squares = squares_of(size.width, size.height)
        return read_back(part, size.margin, SMALL, making.paper.profile, squares, making.room, hear)
    except Exception as error:
        raise BadInput(f"cannot write {path}: {_why(error)}") from error


def put(codes: NDArray[Any], path: Path, paper: Paper) -> None:
    """Write a further picture whole; one that a print left behind that was never finished makes way.

    Raises
    ------
    BadInput
        Where it cannot be written.
    """
    try:
        path.parent.mkdir(exist_ok=True)
        with aside(path) as part:
            save(codes, part, paper)
            claim(part, path, _ours)
    except (OSError, pyvips.Error) as error:
        raise BadInput(f"cannot write {path}: {_why(error)}") from error


def _why(error: Exception) -> str:
    """Return why a file could not be written; libvips tells a full disk in the midst of its own words."""
    said = " ".join(str(error).split())
    if _FULL in said:
        return f"{_FULL}; make room, or name a folder on another disk with --out; prints that are done stay"
    return said[:200]


def _any(_path: Path) -> bool:
    return True


def _ours(path: Path) -> bool:
    """Tell whether a picture carries a packet of ours: at its head, or at its end as libvips puts it into a TIFF."""
    with path.open("rb") as stream:
        head = stream.read(_PACKET)
        stream.seek(max(0, path.stat().st_size - _PACKET))
        return _OWN in head or _OWN in stream.read()


_WORDS: Final = {
    "black": "black point",
    "mid": "mid tone",
    "white": "white point",
    "cast_a": "cast a*",
    "cast_b": "cast b*",
    "vignette": "vignette",
    "grain": "grain",
}


def _misses(lack: ToneRecord) -> list[str]:
    return [
        f"its {_WORDS[axis]} misses the look's slack by {abs(value):.1f}"
        for axis, value in lack.model_dump().items()
        if abs(value) > MISS
    ]


def _differs(seen: FileSeen, record: FinishedPrint) -> list[str]:
    said = []
    if (seen.width, seen.height) != (record.width, record.height):
        said.append(f"the file has {seen.width} x {seen.height} pixels instead of {record.width} x {record.height}")
    if abs(seen.ppi - record.ppi) > min(1.0, 0.02 * record.ppi):
        said.append(f"the file is tagged {seen.ppi:.1f} pixels per inch instead of {record.ppi:.1f}")
    if not seen.profile:
        said.append("the file has no colour profile")
    return said


def _off(shift: float | None) -> list[str]:
    return [f"its picture lies {shift:.1f} pixels off its crop"] if shift is not None and shift > OFF_PLACE else []

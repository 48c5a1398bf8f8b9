"""One frame of a set to one file for the lab: opened, toned to the look, drawn, written whole, and measured again."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from math import ceil
from pathlib import Path
from typing import Any, Final

import numpy as np
import pyvips
from numpy.typing import NDArray

from setsolver.catalog.digest import whole_digest
from setsolver.colour.profile import srgb_curves
from setsolver.colour.toning import toned as apply_tone
from setsolver.domain.finish import FinishedPrint, SoftProof
from setsolver.domain.geometry import Box
from setsolver.domain.outcome import SetFrame
from setsolver.domain.units import CM_PER_INCH, MM_PER_INCH
from setsolver.errors import BadInput, FrameRefused
from setsolver.render.draw import drawn, region_of, untoned
from setsolver.render.grade import Target
from setsolver.render.original import Original, read_original
from setsolver.render.raw import matched
from setsolver.render.readback import FileSeen, green_of, read_back
from setsolver.render.register import shift_of
from setsolver.render.resample import Grid, grid_of
from setsolver.render.save import ENDINGS, Format, OutProfile, Paper, load_profile, save
from setsolver.render.sharpen import PLAIN, Sharpening, sharpening_for
from setsolver.render.softproof import OUTSIDE, soft_proof
from setsolver.usecases.finish_tone import Aim, Toned, beyond, found, tone_of
from setsolver.writing import aside, claim

__all__ = ["Job", "Wish", "make_print"]

_THREADS: Final = os.cpu_count() or 1
_OWN: Final = b"setsolver:Set"
_PACKET: Final = 1 << 18
"""Bytes at either end of a file in which a packet is looked for."""
SMALL: Final = 1280
"""Long side of the picture on which tones are measured: that on which frames were, brought down by the same steps."""
CLOSE: Final = 0.3
"""L* or a*b* beyond the slack from which a print is drawn once more."""
MISS: Final = 1.0
"""L* or a*b* beyond the slack from which a print is warned of."""
OFF_PLACE: Final = 0.5
"""Pixels of the print by which its picture may lie off its crop before it is warned of."""
WEB_FOLDER: Final = "web"
PROOF_FOLDER: Final = "soft-proof"
NOT_JUDGED: Final = 6.0
"""L* by which a frame's mid tone may differ from what the outcome says before it is taken for another picture."""


@dataclass(frozen=True, slots=True)
class Wish:
    """How prints are wanted. ppi : at most. proof : small files for a message instead, of so many pixels' long side.

    web : also make a JPEG in sRGB of so many pixels' long side, at most.
    """

    profile: OutProfile
    ppi: float = 300.0
    format: Format = "tiff"
    bleed_mm: float = 0.0
    border_mm: float = 0.0
    proof: int | None = None
    web: int | None = None


@dataclass(frozen=True, slots=True)
class Job:
    """One print to make.

    file : the original. raw : develop it. turn : degrees clockwise, as the user said. name : of the file, without
    ending. judged : the small picture that the set was chosen by, for what has to be brought to its tone.
    known : an earlier finish wrote the print down, so a file of its name that differs now was changed by somebody.
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


class _Size:
    """Pixels of a print: never more than the crop has."""

    def __init__(self, frame: SetFrame, wish: Wish) -> None:
        self.width_cm, self.height_cm = frame.position.width_cm, frame.position.height_cm
        long_cm, long_px = max(self.width_cm, self.height_cm), max(frame.crop_width, frame.crop_height)
        self.available = long_px / long_cm * CM_PER_INCH
        self.ppi = min(wish.ppi, self.available)
        if wish.proof is not None:
            self.ppi = min(self.ppi, wish.proof / long_cm * CM_PER_INCH)
        self.width = max(1, round(self.width_cm / CM_PER_INCH * self.ppi))
        self.height = max(1, round(self.height_cm / CM_PER_INCH * self.ppi))
        self.bleed = ceil(wish.bleed_mm / MM_PER_INCH * self.ppi) if wish.bleed_mm else 0
        self.border = round(wish.border_mm / MM_PER_INCH * self.ppi)


def make_print(job: Job, wish: Wish, folder: Path, heed: Callable[[], None]) -> FinishedPrint:
    """Make one print and return what was measured on its file.

    Raises
    ------
    FrameRefused
        Where the original cannot be opened, or is not the picture that was judged.
    BadInput
        Where the file cannot be written.
    """
    frame, size = job.frame, _Size(job.frame, wish)
    box = Box(*frame.crop)
    outer = _with_bleed(box, size)
    outer_size = size.width + 2 * size.bleed, size.height + 2 * size.bleed

    def grid_for(width: int, height: int) -> Grid:
        _same_picture(frame, width, height, raw=job.raw)
        return grid_of(outer, frame.level_degrees, (width, height), outer_size)

    original = read_original(job.file, region_of(grid_for), raw=job.raw, turn=job.turn)
    heed()
    notes = [original.note] if original.note else []
    small = untoned(original, _small(box, frame, original, size))
    toned, said = _toned(small, job)
    notes += said
    notes += _said_of_size(size, wish, frame, outer)
    grid = grid_for(original.width, original.height)
    target: Target = "srgb" if wish.profile.file is None else "d50"
    sharpening = PLAIN if wish.proof else sharpening_for(size.width_cm, size.height_cm, size.ppi)
    record = FinishedPrint(
        number=job.number,
        file=job.name + ENDINGS[wish.format],
        source=frame.path,
        width=outer_size[0] + 2 * size.border,
        height=outer_size[1] + 2 * size.border,
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
    paper = Paper(wish.format, wish.profile, size.ppi, size.border, job.packet(record))
    inner = grid_of(box, frame.level_degrees, (original.width, original.height), (size.width, size.height))

    def draw(now: Toned) -> NDArray[Any]:
        return drawn(original, grid, now.toning, sharpening, target, threads=_THREADS, heed=heed)

    def placed(path: Path) -> float | None:
        return shift_of(green_of(path, size.bleed + size.border), original, inner)

    record, toned = _written(draw, toned, folder / record.file, record, paper, job, placed)
    return _with_more(record, apply_tone(small, toned.toning), original, wish, toned, folder, paper.xmp)


def _with_more(
    record: FinishedPrint,
    lab: NDArray[np.float32],
    original: Original,
    wish: Wish,
    toned: Toned,
    folder: Path,
    xmp: bytes,
) -> FinishedPrint:
    """Return a print with its soft proof and its picture for the web."""
    more: dict[str, Any] = {}
    if wish.profile.file is not None:
        more["soft_proof"] = _soft_proof(record, lab, wish.profile, folder, xmp)
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
        codes = found.picture.astype(np.uint16) * 257
        _put(codes, folder / name, Paper("jpeg", load_profile(None), record.ppi, 0, xmp))
    return SoftProof(outside=found.outside, mean=found.mean, worst=found.worst, threshold=OUTSIDE, picture=name)


def _web(record: FinishedPrint, original: Original, pixels: int, toned: Toned, folder: Path, xmp: bytes) -> str:
    full = record.print_width_cm / CM_PER_INCH * record.ppi, record.print_height_cm / CM_PER_INCH * record.ppi
    scale = min(1.0, pixels / max(full))
    width, height = (max(1, round(side * scale)) for side in full)
    grid = grid_of(Box(*record.crop), record.degrees, (original.width, original.height), (width, height))
    codes = drawn(original, grid, toned.toning, Sharpening(0.5), threads=_THREADS)
    name = f"{WEB_FOLDER}/{Path(record.file).stem}.jpg"
    _put(codes, folder / name, Paper("jpeg", load_profile(None), 96.0, 0, xmp))
    return name


def _put(codes: NDArray[Any], path: Path, paper: Paper) -> None:
    """Write a further picture whole; one that a print left behind that was never finished makes way."""
    try:
        path.parent.mkdir(exist_ok=True)
        with aside(path) as part:
            save(codes, part, paper)
            claim(part, path, _ours)
    except (OSError, pyvips.Error) as error:
        raise BadInput(f"cannot write {path}: {' '.join(str(error).split())[:200]}") from error


def _ours(path: Path) -> bool:
    """Tell whether a picture carries a packet of ours, at its head as JPEG has it or at its end as TIFF."""
    with path.open("rb") as stream:
        head = stream.read(_PACKET)
        stream.seek(max(0, path.stat().st_size - _PACKET))
        return _OWN in head or _OWN in stream.read()


def _with_bleed(box: Box, size: _Size) -> Box:
    """Return the crop with the bleed on every side, in the same fractions."""
    across, down = size.bleed * box.w / size.width, size.bleed * box.h / size.height
    return Box(box.x - across, box.y - down, box.w + 2 * across, box.h + 2 * down)


def _same_picture(frame: SetFrame, width: int, height: int, *, raw: bool) -> None:
    """Refuse an original of another size; developing may give a RAW some pixels more or less than its header says."""
    spare = 0.02 * max(frame.width, frame.height) if raw else 0
    if abs(width - frame.width) > spare or abs(height - frame.height) > spare:
        raise FrameRefused(
            f"it has {width} x {height} pixels now and had {frame.width} x {frame.height} when the set was made; bring "
            "that file back, or make the set again with `setsolver suggest`"
        )


def _small(box: Box, frame: SetFrame, original: Original, size: _Size) -> Grid:
    scale = min(1.0, SMALL / max(size.width, size.height))
    small = max(16, round(size.width * scale)), max(16, round(size.height * scale))
    return grid_of(box, frame.level_degrees, (original.width, original.height), small)


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
    toned = found(small, job.aim, first)
    away = abs(toned.tone.mid - job.frame.tone.mid)
    if away > NOT_JUDGED:
        said.append(
            f"its mid tone measures L* {toned.tone.mid:.1f} on the original and was {job.frame.tone.mid:.1f} when the "
            "set was made"
        )
    return toned, said


def _said_of_size(size: _Size, wish: Wish, frame: SetFrame, outer: Box) -> list[str]:
    said = []
    if wish.proof is None and size.available < wish.ppi - 0.5:
        said.append(
            f"printed at {size.available:.0f} pixels per inch, all that its crop of {frame.crop_width} x "
            f"{frame.crop_height} pixels has; nothing was enlarged"
        )
    if size.bleed and (outer.x < 0 or outer.y < 0 or outer.right > 1 or outer.bottom > 1):
        said.append("its crop reaches the frame's edge: the bleed there is the picture mirrored")
    return said


def _written(
    draw: Callable[[Toned], NDArray[Any]],
    toned: Toned,
    path: Path,
    record: FinishedPrint,
    paper: Paper,
    job: Job,
    placed: Callable[[Path], float | None],
) -> tuple[FinishedPrint, Toned]:
    """Write a file under a name of its own, measure it, and only then give it its name.

    Where its tones lie more than ``CLOSE`` beyond the slack, it is drawn once more with what it lacked.
    """
    margin = round((record.bleed_mm + record.border_mm) / MM_PER_INCH * record.ppi)
    for last in (False, True):
        with aside(path) as part:
            seen = _saved(draw(toned), part, path, paper, margin)
            tone = tone_of(seen.rgb)
            lack = beyond(job.aim, tone)
            if not last and max(abs(value) for value in lack.model_dump().values()) > CLOSE:
                toned = toned.nudged(lack)
                continue
            shift = placed(part)
            warnings = [*_misses(lack), *_differs(seen, record), *_off(shift)]
            with part.open("rb") as stream:
                digest = whole_digest(stream).hex()
            claim(part, path, None if job.known else _ours)
            break
    now = {"tone": tone, "beyond": lack, "shift_px": shift, "warnings": tuple(warnings), "digest": digest}
    return record.model_copy(update={**now, "applied": toned.applied}), toned


def _saved(codes: NDArray[Any], part: Path, path: Path, paper: Paper, margin: int) -> FileSeen:
    """Write a file and open it again."""
    try:
        save(codes, part, paper)
        return read_back(part, margin, SMALL, paper.profile)
    except Exception as error:
        raise BadInput(f"cannot write {path}: {' '.join(str(error).split())[:200]}") from error


def _misses(lack: Any) -> list[str]:
    words = {
        "black": "black point",
        "mid": "mid tone",
        "white": "white point",
        "cast_a": "cast a*",
        "cast_b": "cast b*",
    }
    return [
        f"its {words[axis]} misses the look's slack by {abs(value):.1f}"
        for axis, value in lack.model_dump().items()
        if abs(value) > MISS
    ]


def _differs(seen: FileSeen, record: FinishedPrint) -> list[str]:
    said = []
    if (seen.width, seen.height) != (record.width, record.height):
        said.append(f"the file has {seen.width} x {seen.height} pixels instead of {record.width} x {record.height}")
    if abs(seen.ppi - record.ppi) > 1:
        said.append(f"the file is tagged {seen.ppi:.1f} pixels per inch instead of {record.ppi:.1f}")
    if not seen.profile:
        said.append("the file has no colour profile")
    return said


def _off(shift: float | None) -> list[str]:
    return [f"its picture lies {shift:.1f} pixels off its crop"] if shift is not None and shift > OFF_PLACE else []

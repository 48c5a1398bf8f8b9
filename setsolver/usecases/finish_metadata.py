"""Metadata of a finish: packets for prints, and sidecars for the chosen originals where they are asked for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta, timezone
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

from setsolver.catalog.original import Facts, facts_of, sidecar_of
from setsolver.catalog.paths import to_file
from setsolver.domain.geometry import Box, corners_on_frame
from setsolver.errors import BadInput
from setsolver.output.metadata import Kept, Said, Unmergeable, print_packet, sidecar, stored_corners
from setsolver.writing import write_own

if TYPE_CHECKING:
    from setsolver.domain.finish import Finish, FinishedPrint
    from setsolver.domain.frame import Shot
    from setsolver.domain.outcome import SetFrame

__all__ = ["About", "Sidecars", "packet_for", "write_sidecars"]

_MOST = 4_000_000
"""Bytes; a longer sidecar is not read."""


@dataclass(frozen=True, slots=True)
class About:
    """What is known of a frame besides its place: its file, its metadata, how far it was turned by the user's word."""

    file: Path
    facts: Facts
    shot: Shot
    turn: int

    @classmethod
    def of(cls, file: Path, shot: Shot, turn: int) -> About:
        """Return it for a file, which is read for its facts."""
        return cls(file, facts_of(file), shot, turn)


@dataclass(frozen=True, slots=True)
class Sidecars:
    """Where sidecars go. folder : one that mirrors the catalog's, None for none. beside : next to the originals."""

    folder: Path | None = None
    beside: bool = False

    def __bool__(self) -> bool:
        """Tell whether any are wanted."""
        return self.beside or self.folder is not None


def packet_for(
    about: About, told: str | None, title: str, count: int, whole: Finish
) -> Callable[[FinishedPrint], bytes]:
    """Return what makes the packet of a print of a frame.

    Parameters
    ----------
    told : its time of capture, as the outcome has it. title, count : of the set. whole : the document of the finish.
    """
    beside = _read(sidecar_of(about.file))
    packets = tuple(data for data in (about.facts.xmp, beside) if data is not None)
    kept = Kept(packets, about.facts.artist, about.facts.rights, about.facts.description)

    def packet(made_one: FinishedPrint) -> bytes:
        return print_packet(
            kept,
            Said(
                title=title,
                group=whole.brief,
                place=_place(made_one.number, count),
                source=PurePosixPath(made_one.source).name,
                crop=made_one.crop,
                degrees=made_one.degrees,
                picture=_on_print(made_one),
                tool=whole.tool,
                made=whole.made,
                taken=_taken(about.shot, told),
                rating=about.shot.rating,
                keywords=about.shot.keywords,
            ),
        )

    return packet


def write_sidecars(
    frames: dict[int, tuple[SetFrame, About]], group: str, count: int, where: Sidecars
) -> tuple[dict[int, str], list[str]]:
    """Write sidecars; return the file of each by number, and what could not be written and why.

    Raises
    ------
    BadInput
        Where a folder for them cannot be made.
    """
    written: dict[int, str] = {}
    said: list[str] = []
    for number, (frame, about) in frames.items():
        for target, before in _targets(frame, about, where):
            try:
                data = sidecar(before, group, _place(number, count), _on_stored(frame, about), about.shot.rating)
                _write(target, data)
            except (Unmergeable, BadInput) as error:
                said.append(f"no sidecar for {frame.path}: {target.name}: {error}")
            else:
                written[number] = str(target)
    return written, said


def _targets(frame: SetFrame, about: About, where: Sidecars) -> list[tuple[Path, bytes | None]]:
    """Return files to write, each with the sidecar that it starts from."""
    there = sidecar_of(about.file)
    targets = []
    if where.beside:
        targets.append((there or _new_beside(about.file), _read(there)))
    if where.folder is not None:
        file = to_file(where.folder, frame.path)
        own = file.with_name(_new_beside(about.file).name if there is None else there.name)
        targets.append((own, _read(own) if own.is_file() else _read(there)))
    return targets


def _new_beside(file: Path) -> Path:
    """Return the name of a new sidecar: ``a.xmp``, or ``a.jpg.xmp`` where ``a.xmp`` could mean another file, too."""
    others = [path for path in file.parent.glob(f"{_literal(file.stem)}.*") if path.name != file.name]
    return file.with_name(file.name + ".xmp") if others else file.with_suffix(".xmp")


def _literal(stem: str) -> str:
    return "".join(f"[{letter}]" if letter in "*?[" else letter for letter in stem)


def _write(target: Path, data: bytes) -> None:
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        before = target.read_bytes() if target.is_file() else None
    except OSError as error:
        raise BadInput(f"cannot write {target}: {error.strerror}") from error
    write_own(target, data, lambda path: before is not None and path.read_bytes() == before)


def _read(path: Path | None) -> bytes | None:
    if path is None:
        return None
    with path.open("rb") as stream:
        return stream.read(_MOST + 1)


def _place(number: int, count: int) -> str:
    return f"{number} of {count}"


def _taken(shot: Shot, told: str | None) -> str | None:
    """Return the time of capture with the offset in the file, unless the outcome tells another, as of set clocks."""
    if shot.time is None or told not in (None, shot.time.isoformat()):
        return told
    zone = None if shot.utc_offset is None else timezone(timedelta(minutes=shot.utc_offset))
    return shot.time.replace(tzinfo=zone).isoformat()


def _on_print(made: FinishedPrint) -> tuple[tuple[float, float], ...]:
    """Return the corners of the crop on a print, inside its bleed and border."""
    margin = (made.bleed_mm + made.border_mm) / 25.4 * made.ppi
    x, y = margin / made.width, margin / made.height
    return ((x, y), (1 - x, y), (1 - x, 1 - y), (x, 1 - y))


def _on_stored(frame: SetFrame, about: About) -> tuple[tuple[float, float], ...]:
    seen = corners_on_frame(Box(*frame.crop), frame.level_degrees, frame.width / frame.height)
    corners = [(float(x), float(y)) for x, y in seen]
    return stored_corners(corners, about.facts.orientation, about.turn)

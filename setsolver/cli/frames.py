"""``setsolver frames``: what was measured of each frame, and the user's corrections."""

from __future__ import annotations

import csv
import io
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from setsolver.cli.progress import scanning
from setsolver.cli.said import echo_json, printable
from setsolver.cli.streams import plain
from setsolver.errors import BadInput, NoFrames

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from setsolver.domain.frame import Frame
    from setsolver.domain.snapshot import Snapshot

__all__ = ["command"]

ORDER = 20

_WORDS = """
path time width height scale probability said turn black white mid contrast cast_a cast_b tilt_degrees faces sharpness
grain quality appeal spread stars kind moment scene chapter note
"""
_COLUMNS = tuple(_WORDS.split())
_SHOWN_WORDS = """
path time scale probability kind appeal stars black mid white tilt_degrees faces sharpness quality moment scene note
"""
_SHOWN = tuple(_SHOWN_WORDS.split())


@click.command("frames", short_help="Show what was measured of each frame; correct it.")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--set",
    "corrections",
    type=(str, str),
    multiple=True,
    metavar="FRAME NAME=VALUE",
    help="Correct a frame: scale=wide, medium or close; turn=90, 180 or 270 degrees clockwise to stand upright, turn=0 "
    "for one that does; stars=0 to 5; kind=photograph, document or screen; measured takes any back; repeatable.",
)
@click.option("--csv", "as_csv", is_flag=True, help="Print a CSV table.")
@click.option("--json", "as_json", is_flag=True, help="Print the document setsolver/frames v1 only.")
@click.option("--workers", type=click.IntRange(0), help="Processes; 0 = none but this one.  [default: one a core]")
def command(
    folder: Path,
    corrections: tuple[tuple[str, str], ...],
    as_csv: bool,
    as_json: bool,
    workers: int | None,
) -> int:
    """Show what was measured of each frame in FOLDER; new and changed frames are measured first.

    Corrections win over what is measured, at once; what they changed, in these frames and in others, is said at the
    end. The keyword scale:close in a frame's metadata does the same. A frame that you turn is measured again as turned;
    its file stays as it is. Stars, yours or those of its metadata, move the appeal of a frame and of those like it.

    Columns: p is how sure the scale is, said what you said it is; appeal is 1 to 5, spread how far it may be off;
    black, mid and white are L*, tilt is degrees off level; a moment is a burst or one view again, a scene what belongs
    together in time and content, a chapter a run of scenes, each by its number.

    \b
    Example:
      setsolver frames demo_catalog --csv
      setsolver frames demo_catalog --set 1-morning/0012.jpg scale=close
      setsolver frames demo_catalog --set 1-morning/0012.jpg turn=0 --set 3-evening/0086.jpg stars=5
    """
    from setsolver.api import Catalog
    from setsolver.usecases.corrected import changes_in_words
    from setsolver.usecases.frames import frames_document

    if as_csv and as_json:
        raise BadInput("--csv and --json cannot both be printed; give one of them")
    said = _said(corrections)
    catalog = Catalog.open(folder)
    with scanning() as progress:
        catalog.scan(progress=progress, workers=workers)
    before = catalog.snapshot() if said else None
    kept = catalog.correct_all(said)
    if any("turn" in values for values in kept.values()):
        with scanning() as progress:
            catalog.scan(progress=progress, workers=workers)
    snapshot = catalog.snapshot()
    for path in (path for path, values in kept.items() if values.get("scale", "") is None):
        frame = snapshot.by_path(path)
        if frame is not None and frame.said:
            click.echo(f"{printable(path)} stays {frame.said}: a keyword in its metadata says so", err=True)
    if as_json:
        echo_json(frames_document(snapshot))
    elif as_csv:
        click.echo(_csv(snapshot), nl=False)
    else:
        _show(snapshot)
    if before is not None:
        for line in changes_in_words(before, snapshot, kept):
            click.echo(printable(line), err=as_json or as_csv)
    if not snapshot.frames:
        raise NoFrames(f"nothing in {str(folder)!r} could be read as a photograph; `setsolver scan` says why")
    return 0


def _said(corrections: Iterable[tuple[str, str]]) -> dict[str, dict[str, str | None]]:
    said: dict[str, dict[str, str | None]] = {}
    for path, wish in corrections:
        name, value = _wish(wish)
        if said.setdefault(path, {}).setdefault(name, value) != value:
            raise BadInput(f"{path!r} is given two values of {name}; give it one")
    return said


def _wish(wish: str) -> tuple[str, str | None]:
    from setsolver.domain.corrections import CORRECTIONS, MEASURED, corrections_in_words

    name, _, value = wish.partition("=")
    if (value != MEASURED and value not in CORRECTIONS.get(name, ())) or name not in CORRECTIONS:
        raise BadInput(f"{wish!r} corrects nothing; write {corrections_in_words()}")
    return name, None if value == MEASURED else value


def _row(frame: Frame) -> list[str]:
    measures = frame.measures
    tone, tilt = measures.tone, measures.tilt.degrees
    numbers = (tone.black, tone.white, tone.mid, tone.contrast, tone.cast_a, tone.cast_b)
    return [
        frame.path,
        frame.shot.taken or "",
        str(frame.width),
        str(frame.height),
        frame.odds.best if frame.odds.sure >= 0.5 else "unsure",
        f"{frame.odds.sure:.2f}",
        frame.said or "",
        "" if frame.turn is None else str(frame.turn),
        *(f"{number:.1f}" for number in numbers),
        "" if tilt is None else f"{tilt:.2f}",
        str(len(measures.faces)),
        f"{measures.detail.sharpness:.2f}",
        f"{measures.detail.grain:.2f}",
        f"{measures.quality:.2f}",
        "" if measures.appeal is None else f"{measures.appeal.value:.1f}",
        "" if measures.appeal is None else f"{measures.appeal.spread:.1f}",
        "" if frame.given_stars is None else f"{frame.given_stars:g}",
        frame.kind,
        str(frame.moment),
        str(frame.scene),
        str(frame.chapter),
        frame.note,
    ]


def _csv(snapshot: Snapshot) -> str:
    """Return the table as CSV (RFC 4180)."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(_COLUMNS)
    writer.writerows(_row(frame) for frame in snapshot.frames)
    return out.getvalue()


def _show(snapshot: Snapshot) -> None:
    """Print the table for people: all of it in a pipe, on a terminal as many columns as its window has room for."""
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    console = Console(file=plain(sys.stdout))
    if not console.is_terminal:
        console = Console(file=plain(sys.stdout), width=_WIDTH_OF_PIPES)
    rows = [_shown(frame) for frame in snapshot.frames]
    names = _fitting(rows, console.width)
    table = Table(box=None, pad_edge=False)
    for name in names:
        words = name in ("path", "time", "kind", "scale", "note")
        table.add_column(
            _HEADS.get(name, name), justify="left" if words else "right", overflow="fold", no_wrap=not words
        )
    for row in rows:
        table.add_row(*(Text(row[name]) for name in names))
    console.print(table)
    if len(names) < len(_SHOWN):
        left = ", ".join(name for name in _SHOWN if name not in names)
        click.echo(f"no room in this window for {left}; --csv has all columns")
    for out in snapshot.refused:
        click.echo(f"not measured: {printable(out.path)}: {printable(out.why)}")


def _shown(frame: Frame) -> dict[str, str]:
    row = dict(zip(_COLUMNS, map(printable, _row(frame)), strict=True))
    row["scale"] += " (said)" if frame.said else ""
    row["time"] = row["time"][: len("2026-05-02T09:10:11")].replace("T", " ")
    return row


def _fitting(rows: Sequence[dict[str, str]], room: int) -> tuple[str, ...]:
    """Return the columns that fit side by side, the first ones first; long names and notes may be folded."""
    names: list[str] = []
    for name in _SHOWN:
        longest = max((len(row[name]) for row in rows), default=0)
        wide = max(len(_HEADS.get(name, name)), min(longest, _FOLDED_AT) if name in ("path", "note") else longest)
        if wide > room:
            break
        names.append(name)
        room -= wide + _BETWEEN
    return tuple(names) or _SHOWN[:1]


_FOLDED_AT, _BETWEEN = 36, 2
_WIDTH_OF_PIPES = 240
_HEADS = {"probability": "p", "tilt_degrees": "tilt", "sharpness": "sharp"}

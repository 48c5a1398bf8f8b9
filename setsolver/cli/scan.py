"""``setsolver scan``: measure new and changed frames."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from setsolver.cli.progress import scanning
from setsolver.cli.said import echo_json, printable
from setsolver.domain.clock import checked_clock
from setsolver.errors import BadInput

if TYPE_CHECKING:
    from setsolver.usecases.scan import ScanReport

__all__ = ["command"]

ORDER = 10

_UNREAD = "not a photograph format that is read here; save what should be a frame as JPEG, PNG, TIFF, WebP or HEIC"


@click.command("scan", short_help="Measure new and changed frames.")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--fast", is_flag=True, help="Leave the large network for a later scan: no appeal, kind or content yet.")
@click.option("--again", is_flag=True, help="Measure unchanged frames again too.")
@click.option(
    "--workers",
    type=click.IntRange(0),
    help="Processes; 0 = none but this one, which a file that crashes its decoder ends.  [default: one a core]",
)
@click.option("--cluster", metavar="ADDRESS", help="Measure on a Dask cluster that sees the same files (tcp://...).")
@click.option(
    "--clock",
    "clocks",
    multiple=True,
    metavar="CAMERA=SHIFT",
    help="What a camera's times lack, kept from then on: +1h, -7m, +1h30m, 0h = it is right, none = worth nothing, "
    "measured = take it back. May be repeated.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the report (setsolver/scan v1) only.")
def command(
    folder: Path,
    fast: bool,
    again: bool,
    workers: int | None,
    cluster: str | None,
    clocks: tuple[str, ...],
    as_json: bool,
) -> int:
    """Measure new and changed frames of FOLDER and keep the numbers in its index.

    The index is FOLDER/.setsolver/index.db, or lies in your cache folder where FOLDER is read-only. Pictures are
    only read. A scan that is stopped keeps what it has measured; the next one does the rest. Files that cannot be
    measured are listed with the reason, pictures of formats that are not read are counted, other files are passed over.
    With --fast a scan takes about two thirds of the time; the next one without it, or the next set that is asked for,
    fills in what was left.

    Frames whose metadata has no time get that of their file's name where it has one (IMG_20240513_142233.jpg). Cameras
    that took pictures of the same things are brought on one clock for grouping; --clock puts a camera's times right.

    \b
    Examples:
      setsolver scan demo_catalog
      setsolver scan opening --clock "Clay Two=+1h" --clock unknown=-7m
    """
    from setsolver.usecases.scan import scan  # not by way of the Python face, which loads the engine, too

    with scanning() as progress:
        said = dict(map(_clock, clocks))
        report = scan(folder, progress=progress, workers=workers, cluster=cluster, force=again, quick=fast, clocks=said)
    if as_json:
        echo_json(_document(folder, report))
    else:
        _say(folder, report)
    return 0 if report.frames else 2


def _clock(said: str) -> tuple[str, str]:
    camera, _, clock = said.rpartition("=")
    if not camera:
        raise BadInput(f"{said!r} sets no clock; write CAMERA=SHIFT, such as 'Clay Two=+1h'")
    checked_clock(clock)
    return camera, clock


def _document(folder: Path, report: ScanReport) -> dict[str, Any]:
    return {
        "format": "setsolver/scan",
        "version": 1,
        "catalog": str(folder).encode("utf-8", "backslashreplace").decode(),
        "frames": report.frames,
        "new": report.new,
        "changed": report.changed,
        "unchanged": report.unchanged,
        "removed": report.removed,
        "refused": [{"path": out.path, "why": out.why} for out in report.refused],
        "unseen": report.unseen,
        "unread": [{"ending": kind, "files": files, "why": _UNREAD} for kind, files in report.unread],
        "remarks": list(report.remarks),
        "seconds": round(report.seconds, 3),
    }


def _say(folder: Path, report: ScanReport) -> None:
    counts = f"{report.new} new, {report.changed} changed, {report.unchanged} unchanged, {report.removed} removed"
    counts += f", {report.unseen} not seen this time and kept as they were" if report.unseen else ""
    click.echo(f"{printable(str(folder))}: {report.frames} frames ({counts}) in {report.seconds:.1f} s")
    if report.refused:
        click.echo(f"{len(report.refused)} could not be measured:")
    for out in report.refused:
        click.echo(f"  {printable(out.path)}: {printable(out.why)}")
    for kind, files in report.unread:
        click.echo(f"{files} .{kind} file{'s' if files > 1 else ''}: {_UNREAD}")
    for remark in report.remarks:
        click.echo(f"note: {printable(remark)}")
    if not report.frames:
        click.echo(f"setsolver: {_nothing(folder, report)}", err=True)


def _nothing(folder: Path, report: ScanReport) -> str:
    if report.refused:
        return f"no file in {printable(str(folder))!r} could be read as a photograph; the reasons stand above"
    return f"no photographs in {printable(str(folder))!r}; name a folder with JPEG, PNG, TIFF, WebP, HEIC or RAW files"

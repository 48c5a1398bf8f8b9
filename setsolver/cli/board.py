"""``setsolver board``: the page on which a set is chosen with the eyes."""

from __future__ import annotations

import sys
import webbrowser
from contextlib import closing, suppress
from pathlib import Path
from typing import TYPE_CHECKING

import click

from setsolver.cli import options
from setsolver.cli.said import echo_json

if TYPE_CHECKING:
    from setsolver.web.guard import Keys

__all__ = ["command"]

ORDER = 100


@click.command("board", short_help="Choose a set with your eyes, on a local page.")
@options.folder
@options.brief
@click.option("--port", type=click.IntRange(1, 65535), help="Port on this machine.  [default: any that is free]")
@click.option("--open/--no-open", "open_it", default=None, help="Open the page in a browser.  [default: on a terminal]")
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=Path("prints"),
    show_default=True,
    help="Folder for prints made from the page, each time in a new one.",
)
@click.option("--seed", default=0, type=click.IntRange(0, 2**31 - 1), show_default=True, help="Of every search.")
@click.option("--workers", type=click.IntRange(1), help="Processes and threads.  [default: all cores]")
@options.as_json
def command(
    folder: Path,
    brief_name: str,
    port: int | None,
    open_it: bool | None,
    out: Path,
    seed: int,
    workers: int | None,
    as_json: bool,
) -> int:
    """Choose a set of FOLDER with your eyes, on a page that this machine alone can open.

    New and changed frames are measured first. What is done on the page is kept at once: a working copy of the brief and
    your choices beside the index, stars and other corrections in it. The brief itself is never written. Ctrl-C ends it.

    \b
    Example:
      setsolver board demo_catalog --brief wall-three
    """
    from setsolver.cli.measured import measured
    from setsolver.usecases.board import TIME_LIMIT, Board
    from setsolver.usecases.briefs import load_brief
    from setsolver.usecases.effort import Effort
    from setsolver.usecases.remeasure import prepare
    from setsolver.web.serve import listen, serve

    load_brief(brief_name)  # a mistake in it is said before an hour of measuring
    with closing(listen(port)) as sock:
        measured(folder, workers)
        board = Board(folder, brief_name, effort=Effort(TIME_LIMIT, seed, workers), out=out)
        prepare()  # the first frame that is turned waits for no network

        def ready(keys: Keys) -> None:
            if as_json:
                echo_json({"format": "setsolver/board-address", "version": 1, "address": keys.address})
            else:
                click.echo(f"the board: {keys.address}\nkept in {board.kept.brief_file.parent}; Ctrl-C ends it")
            sys.stdout.flush()
            if open_it or (open_it is None and sys.stdout.isatty() and not as_json):
                opened(keys.address_once())  # others here may read the arguments of programs

        with suppress(KeyboardInterrupt):  # the usual way to end it; the server may also take it and end by itself
            serve(board, sock, ready)
        click.echo("the board is closed; everything is kept", err=True)
    return 0


def opened(address: str) -> bool:
    """Open an address in the browser of this machine, and say where there is none; return whether one was opened."""
    with suppress(webbrowser.Error):
        webbrowser.get()  # raises where no browser can be run here, of which ``click.launch`` says nothing
        if click.launch(address) == 0:
            return True
    click.echo("no browser can be opened here; open the address in one of this machine yourself", err=True)
    return False

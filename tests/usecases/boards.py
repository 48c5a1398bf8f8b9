"""Boards on a small drawn shoot, scanned once a process and copied for each test."""

import atexit
import json
import shutil
import tempfile
from functools import cache
from pathlib import Path

from setsolver.usecases.board import Board
from setsolver.usecases.board.acts import read_act
from setsolver.usecases.effort import Effort
from setsolver.usecases.frames import correct
from setsolver.usecases.index import open_index
from setsolver.usecases.scan import scan
from tests.cli.shoot import BRIEF, write_shoot

__all__ = [
    "TOKEN",
    "act",
    "choices",
    "corrections",
    "first_swap",
    "frame_rows",
    "hung",
    "make_folder",
    "open_board",
    "write_brief",
]

TOKEN = "0123456789abcdef"
"""By which an act may be stopped."""


def make_folder(tmp_path):
    """Return a copy of the scanned shoot: eight frames in two folders."""
    return shutil.copytree(_scanned(), tmp_path / "pottery")


@cache
def _scanned():
    home = Path(tempfile.mkdtemp(prefix="setsolver-boards-"))
    atexit.register(shutil.rmtree, home, ignore_errors=True)
    folder = write_shoot(home / "pottery")
    scan(folder, workers=0)
    # drawn as they are, they are told for graphics
    correct(folder, {f"{file.parent.name}/{file.name}": {"kind": "photograph"} for file in folder.rglob("*.jpg")})
    return folder


def write_brief(tmp_path, text=BRIEF):
    file = tmp_path / "any-three.toml"
    file.write_text(text, encoding="utf-8")
    return file


def open_board(tmp_path, **options):
    """Return a board of a folder and a brief under ``tmp_path``, which are made where they are not there yet."""
    folder = tmp_path / "pottery"
    if not folder.is_dir():
        make_folder(tmp_path)
    file = tmp_path / "any-three.toml"
    return Board(
        folder, str(file if file.is_file() else write_brief(tmp_path)), effort=Effort(60.0, workers=1), **options
    )


def act(board, **what):
    """Do what a page would ask for; return the board as it is then."""
    return board.do(read_act(json.dumps(what).encode()))


def frame_rows(document):
    """Return the rows of the tray, of the columns that a board gives."""
    columns = document["columns"]
    rows = zip(*columns.values(), strict=True)
    found = [dict(zip(columns, row, strict=True)) for row in rows]
    return [row | {"path": f"{row['folder']}/{row['name']}"} for row in found]


def hung(view):
    """Return the paths of the prints, in order."""
    return [print_["path"] for print_ in view["set"]["prints"]]


def first_swap(board, place=0):
    """Return a print and the best of its swaps."""
    print_ = board.view()["set"]["prints"][place]
    return print_, board.swaps(print_["frame"], proven=True)["swaps"][0]


def corrections(tmp_path):
    """Return what the index on the disk holds of what was said of frames, by path and name."""
    with open_index(tmp_path / "pottery") as store:
        return store.corrections()


def choices(board):
    """Return what the board holds to be chosen, as it lies on the disk."""
    file = board.kept.choices.file
    return [json.loads(line) for line in file.read_text("utf-8").splitlines()] if file.exists() else []

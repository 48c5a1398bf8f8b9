"""Prints and a whole book made from the page of a board, followed as they are made."""

import shutil
from pathlib import Path

import pikepdf
import pytest

from setsolver.domain.album import Album
from setsolver.usecases.board import Board, finishing
from setsolver.usecases.scan import scan
from tests.usecases.boards import open_board
from tests.web.browsing import BROWSED, running, unfold

pytestmark = BROWSED

DEMO = Path(__file__).parents[2] / "demo_catalog"
LONG = 400_000
"""Milliseconds for a book of real pictures on a machine that may be busy."""


def test_prints_are_made_and_followed(tmp_path, open_page):
    board = open_board(tmp_path, out=tmp_path / "prints")
    with running(board) as address:
        made(open_page(address), board)


def made(page, board):
    unfold(page, "finish")
    page.select_option("[data-id='finish-format']", "proof")
    page.click("[data-id='finish-begin']")
    page.wait_for_function(
        "() => /3 prints made and measured/.test(document.getElementById('finish-says').textContent)",
        timeout=120_000,  # real prints, on a machine that may be busy
    )
    assert len(list(Path(board.view()["finish"]["folder"]).glob("*.jpg"))) == 3
    assert page.is_hidden("#finish-bar")


@pytest.fixture
def demo(tmp_path, monkeypatch):
    monkeypatch.setattr(finishing, "_ALBUM_SECONDS", 15.0)  # a whole book, proven or not
    folder = tmp_path / "demo"
    for part in ("1-morning", "2-afternoon", "3-evening"):
        shutil.copytree(DEMO / part, folder / part)
    scan(folder)
    board = Board(folder, "wall-three", out=tmp_path / "books")
    yield board
    board.finishing.end()


def test_a_whole_book_is_made_from_the_page_with_what_is_pinned_and_without_what_is_barred(demo, open_page):
    with running(demo) as address:
        page = open_page(address)
        pinned = demo.view()["set"]["prints"][0]["path"]
        barred = demo.view()["set"]["prints"][1]["path"]
        for place, what in ((1, "pin"), (2, "bar")):
            page.click(f".print[data-place='{place}']")
            page.click(f"#chosen [data-id='{what}']")
            page.wait_for_selector("main[aria-busy=false]")
            page.wait_for_function(f"() => document.getElementById('said').textContent.includes('is {what}')")
        unfold(page, "finish")
        page.select_option("[data-id='album-brief']", "story-album")
        page.click("[data-id='album-begin']")
        page.wait_for_selector("[data-id='finish-stop']")
        assert page.is_disabled("[data-id='album-begin']")
        page.wait_for_function(
            "() => /[0-9]+ spreads in album.pdf/.test(document.getElementById('finish-says').textContent)", timeout=LONG
        )
        folder = Path(demo.view()["finish"]["folder"])
        album = Album.model_validate_json((folder / "album.json").read_bytes())
        frames = {frame.path for spread in album.spreads for frame in spread.frames}
        assert pinned in frames
        assert barred not in frames
        with pikepdf.open(folder / "album.pdf") as book:
            assert len(book.pages) >= len(album.spreads)
        assert page.is_enabled("[data-id='album-begin']")

"""Pictures of the board and of an album of the demo catalog, made by using both as a person does."""

import signal
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path
from typing import Any

from PIL import Image

from demo_catalog.make.commands import command, run

BRIEF, ALBUM = "wall-three", "place-album"
DESK, PHONE = {"width": 1280, "height": 900}, {"width": 390, "height": 844}
TRIED = 3
"""Which of the swaps for the second print is tried on the wall."""
PROVEN = ".swaps li >> text=/No set with it does better, proven|at best, with/"
LONG = 120_000
"""Milliseconds for an answer on a machine that may be busy."""

PAGES_ACROSS, PAGE_WIDTH, GAP, GREY = 4, 340, 5, (184, 184, 184)
"""Of the contact sheet of a book, in pixels."""


def board_pictures(catalog: Path, scratch: Path, out: Path) -> None:
    """Photograph the board of a copy of the catalog: a swap only tried, two sets large, and a print on a phone.

    Needs the commands `setsolver` and `chromium`, and Playwright.
    """
    with _served(catalog, scratch) as address, _browser() as browser:
        page = _opened(browser, address, DESK)
        page.click("[data-id='print-2']")
        page.wait_for_selector(PROVEN, timeout=LONG)
        page.eval_on_selector("#swaps", "(one) => one.scrollIntoView()")
        page.evaluate("scrollTo(0, 0)")
        page.hover(f".swaps li:nth-child({TRIED}) img")
        page.wait_for_selector(".print.tried")
        _keep(page, page.screenshot, out / "board.png")
        page.mouse.move(0, 0)
        page.click("#ask-sets")
        page.click("[data-id='both-2']", timeout=LONG)
        page.mouse.move(0, 0)
        _keep(page, page.locator("dialog[open]").screenshot, out / "board-two.png")
        page = _opened(browser, address, PHONE)
        page.click("[data-id='print-1']")
        page.wait_for_selector(PROVEN, timeout=LONG)
        _keep(page, page.screenshot, out / "board-phone.png")


def album_picture(catalog: Path, scratch: Path, out: Path) -> None:
    """Make a book of a copy of the catalog and lay its spreads out on one sheet.

    Needs the commands `setsolver` and `pdftoppm` (poppler).
    """
    run("setsolver", "album", str(catalog), "--brief", ALBUM, "--out", str(scratch / "book"))
    run("pdftoppm", "-r", "72", "-png", "-scale-to-x", str(PAGE_WIDTH), "-scale-to-y", "-1", *_pages(scratch))
    pages = [Image.open(file) for file in sorted(scratch.glob("page-*.png"))]
    high = max(page.height for page in pages)
    rows = -(-len(pages) // PAGES_ACROSS)
    sheet = Image.new("RGB", (PAGES_ACROSS * (PAGE_WIDTH + GAP) + GAP, rows * (high + GAP) + GAP), GREY)
    for at, page in enumerate(pages):
        sheet.paste(page, (GAP + at % PAGES_ACROSS * (PAGE_WIDTH + GAP), GAP + at // PAGES_ACROSS * (high + GAP)))
    sheet.save(out / "album.jpg", quality=88, optimize=True)


def _pages(scratch: Path) -> tuple[str, str]:
    return str(scratch / "book" / "screen.pdf"), str(scratch / "page")


@contextmanager
def _served(catalog: Path, scratch: Path) -> Iterator[str]:
    """Run a board, and yield the address that it prints."""
    arguments = ["board", str(catalog), "--brief", BRIEF, "--no-open", "--out", str(scratch / "made")]
    with subprocess.Popen([command("setsolver"), *arguments], stdout=subprocess.PIPE) as board:  # noqa: S603 - our own
        try:
            yield (board.stdout or BytesIO()).readline().decode().removeprefix("the board: ").strip()
        finally:
            board.send_signal(signal.SIGINT)  # as Ctrl-C does


@contextmanager
def _browser() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright  # noqa: PLC0415 - only these pictures need it

    with sync_playwright() as playwright:
        yield playwright.chromium.launch(executable_path=command("chromium"), args=["--no-sandbox"])


def _opened(browser: Any, address: str, size: dict[str, int]) -> Any:
    page = browser.new_context(viewport=size, reduced_motion="reduce").new_page()
    page.goto(address)
    page.wait_for_selector(".cell img")
    return page


def _keep(page: Any, photograph: Any, file: Path) -> None:
    """Photograph once all pictures in sight are there; with 256 colours of the picture's own, at half the bytes."""
    page.wait_for_load_state("networkidle")
    page.wait_for_function("() => [...document.images].every((one) => one.loading === 'lazy' || one.complete)")
    with Image.open(BytesIO(photograph())) as picture:
        # by coverage: a median cut has no green left for a few glazes, and dithering lays a pattern over plain grey
        few = picture.convert("RGB").quantize(256, Image.Quantize.MAXCOVERAGE, kmeans=2)
        few.save(file, optimize=True)

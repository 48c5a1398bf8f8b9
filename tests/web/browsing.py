"""A board in Debian's Chromium, driven by Playwright; where either is missing, tests say so and skip."""

import shutil
import threading
from contextlib import contextmanager

import pytest

from setsolver.web.guard import Keys
from setsolver.web.serve import listen, make_server
from tests.cli.shoot import BRIEF
from tests.usecases.boards import open_board, write_brief

__all__ = [
    "BROWSED",
    "CHROMIUM",
    "FLAGS",
    "PROVEN",
    "bar_both_folders",
    "cells",
    "hung",
    "is_fault",
    "names",
    "on_a_wall",
    "opened",
    "reach",
    "revision",
    "running",
    "settled",
    "unfold",
]

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = [
    "--no-sandbox",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
ENDED = "net::ERR_CONNECTION_REFUSED"
"""What a page says that outlives its server, as pages do at the end of a test."""
PROVEN = ".swaps li >> text=/does better, proven|at best, with/"
ROLES = "[roles]\nwide = [0, 2]\nmedium = [0, 2]\nclose = [0, 2]\n"
WALL = '[wall]\nwidth = 300\nheight = 250\nclear = [{ left = 20, width = 120, height = 80, what = "sofa" }]\n'
BROWSED = [
    pytest.mark.slow,
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium here (Debian: apt-get install chromium)"),
]


@contextmanager
def running(board):
    with listen(None) as sock:
        keys = Keys(sock.getsockname()[1])
        server = make_server(board, keys)
        thread = threading.Thread(target=server.run, kwargs={"sockets": [sock]}, daemon=True)
        thread.start()
        yield keys.address
        server.should_exit = True
        thread.join(30)


@contextmanager
def opened(browser, address, faults, width=1280, height=900, **options):
    """Open a page in a context of its own; what it reports as faults joins a list."""
    context = browser.new_context(viewport={"width": width, "height": height}, **options)
    page = context.new_page()
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on("console", lambda told: faults.append(told.text) if told.type == "error" and is_fault(told.text) else 0)
    page.goto(address)
    page.wait_for_selector(".cell img")
    yield page
    context.close()


def on_a_wall(tmp_path_factory):
    """Yield a board with roles and a wall; for a fixture of a module."""
    home = tmp_path_factory.mktemp("works")
    write_brief(home, BRIEF.replace("[tone]", f"{ROLES}{WALL}[tone]", 1))
    board = open_board(home, out=home / "prints")
    yield board
    board.finishing.end()


def is_fault(text):
    """Tell faults of the page from an ended server, an overtaken question (422), and a file that is gone (410)."""
    return ENDED not in text and "status of 422" not in text and "status of 410" not in text


def hung(page):
    return [name.split(", ")[2] for name in names(page)]


def names(page):
    return page.eval_on_selector_all(".print", "all => all.map((one) => one.getAttribute('aria-label'))")


def cells(page):
    return page.eval_on_selector_all(".cell .name", "all => all.map((one) => one.textContent)")


def unfold(page, part):
    page.eval_on_selector(f"#{part}", "(one) => { one.open = true; }")


def settled(page, revision):
    """Wait for an answer: until the page shows another revision."""
    page.wait_for_function(
        "(before) => Number(document.getElementById('main').dataset.revision) > before", arg=revision
    )
    page.wait_for_selector("main[aria-busy=false]")


def bar_both_folders(page):
    """Bar every folder of the shoot, one after the other: a clash, with its ways out."""
    for key in ("morning", "evening"):
        page.fill("[data-id='find']", key)
        page.click(".cell >> nth=0")
        now = revision(page)
        page.click("#chosen [data-id='bar-folder']")
        settled(page, now)
    page.wait_for_selector("[data-id='way-1']")


def revision(page):
    return int(page.get_attribute("main", "data-revision"))


def reach(page, selector):
    """Press Tab until something has the focus: whatever cannot be reached so fails here."""
    page.evaluate("document.activeElement.blur?.()")
    for _ in range(150):
        page.keyboard.press("Tab")
        if page.evaluate("(what) => document.activeElement.matches(what)", selector):
            outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
            assert outline != "none" or selector == "#sheet"
            return
    raise AssertionError(f"{selector} is not reached by Tab")

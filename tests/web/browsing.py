"""A board in Debian's Chromium, driven by Playwright; where either is missing, tests say so and skip."""

import shutil
import threading
from contextlib import contextmanager

import pytest

from setsolver.web.guard import Keys
from setsolver.web.serve import listen, make_server

__all__ = [
    "BROWSED",
    "CHROMIUM",
    "FLAGS",
    "PROVEN",
    "hung",
    "is_fault",
    "names",
    "reach",
    "revision",
    "running",
    "settled",
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


def is_fault(text):
    """Tell faults of the page from an ended server, an overtaken question (422), and a file that is gone (410)."""
    return ENDED not in text and "status of 422" not in text and "status of 410" not in text


def hung(page):
    return [name.split(", ")[2] for name in names(page)]


def names(page):
    return page.eval_on_selector_all(".print", "all => all.map((one) => one.getAttribute('aria-label'))")


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

"""The board's page in Chromium: how soon its first picture stands, what it loads, and how smoothly its tray scrolls."""

from __future__ import annotations

import shutil
import threading
import time
from itertools import pairwise
from typing import Any

from playwright.sync_api import sync_playwright

from setsolver.usecases.board import Board
from setsolver.web.guard import Keys
from setsolver.web.serve import listen, make_server

__all__ = ["look_at"]

SCROLL = """() => new Promise((done) => {
  const sheet = document.getElementById("sheet"), times = [], start = performance.now();
  const step = (now) => {
    times.push(now);
    sheet.scrollTop += 60;
    const more = sheet.scrollTop + sheet.clientHeight < sheet.scrollHeight - 1;
    if (now - start < 3000 && more) requestAnimationFrame(step);
    else done(times);
  };
  requestAnimationFrame(step);
})"""
FIRST = "() => [...document.querySelectorAll('.print img')].some((one) => one.complete && one.naturalWidth > 0)"


def look_at(board: Board) -> None:
    """Open the page three times, scroll its tray, and print what was measured."""
    with listen(None) as sock:
        keys = Keys(sock.getsockname()[1])
        server = make_server(board, keys)
        thread = threading.Thread(target=server.run, kwargs={"sockets": [sock]}, daemon=True)
        thread.start()
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
            seen = [_opened(browser, keys.address) for _ in range(3)]
            browser.close()
        server.should_exit = True
        thread.join(10)
    for name in seen[0]:
        print(f"{name}: {', '.join(f'{one[name]:,.0f}' for one in seen)}")


def _opened(browser: Any, address: str) -> dict[str, float]:
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    loaded: list[int] = []
    page.on("response", lambda answer: loaded.append(int(answer.headers.get("content-length", 0))))
    start = time.perf_counter()
    page.goto(address, wait_until="commit")
    page.wait_for_function(FIRST)
    first = time.perf_counter() - start
    page.wait_for_selector(".cell img")
    page.wait_for_load_state("load")
    count = sum(loaded)
    times = page.evaluate(SCROLL)
    gaps = sorted(b - a for a, b in pairwise(times))
    page.close()
    return {
        "first picture of the wall, ms": 1000 * first,
        "bytes until the tray stands": count,
        "scrolling, frames a second": 1000 * len(gaps) / max(sum(gaps), 1),
        "scrolling, worst gap ms": gaps[-1] if gaps else 0,
    }

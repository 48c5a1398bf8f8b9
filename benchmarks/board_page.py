"""The board's page in Chromium: how soon its first picture stands, what it loads, and how smoothly its tray scrolls."""

from __future__ import annotations

import json
import os
import shutil
import threading
import time
from collections.abc import Callable
from itertools import pairwise
from typing import Any

from playwright.sync_api import sync_playwright

from setsolver.usecases.board import Board
from setsolver.web.guard import Keys
from setsolver.web.serve import listen, make_server

__all__ = ["look_at", "look_at_tray"]

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
ORDER = """(order) => new Promise((done) => {
  const choice = document.querySelector("[data-id='filter-sort']"), start = performance.now();
  choice.value = order;
  choice.dispatchEvent(new Event("change"));
  requestAnimationFrame(() => setTimeout(() => done(performance.now() - start)));
})"""
FIRST = "() => [...document.querySelectorAll('.print img')].some((one) => one.complete && one.naturalWidth > 0)"


def look_at(board: Board) -> None:
    """Open the page three times, scroll its tray, and print what was measured."""
    _show(board, _opened)


def look_at_tray(board: Board, rows: int) -> None:
    """The same of a tray of so many rows: the frames of the board over and over, each with a key of its own."""
    told = board.frames()
    columns, count = told["columns"], len(told["columns"]["frame"])
    many = {name: (column * -(-rows // count))[:rows] for name, column in columns.items()}
    many["frame"] = [f"{at:08x}{key[8:]}" for at, key in enumerate(many["frame"])]
    many["name"] = [f"{at:06d} {name}" for at, name in enumerate(many["name"])]
    many["scene"] = [scene + at // count * 10_000 for at, scene in enumerate(many["scene"])]
    many["fold"] = many["frame"]
    frames, known = json.dumps({**told, "columns": many}), columns["frame"][0]

    def opened(browser: Any, address: str) -> dict[str, float]:
        def prepared(page: Any) -> None:
            page.route("**/frames?*", lambda route: route.fulfill(body=frames, content_type="application/json"))
            page.route("**/frame/*/240*", lambda route: route.continue_(url=f"{_base(address)}/frame/{known}/240"))

        return _opened(browser, address, prepared)

    _show(board, opened)


def _base(address: str) -> str:
    return address.partition("/?")[0]


def _show(board: Board, opened: Callable[[Any, str], dict[str, float]]) -> None:
    with listen(None) as sock:
        keys = Keys(sock.getsockname()[1])
        server = make_server(board, keys)
        thread = threading.Thread(target=server.run, kwargs={"sockets": [sock]}, daemon=True)
        thread.start()
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
            seen = [opened(browser, keys.address) for _ in range(3)]
            browser.close()
        server.should_exit = True
        thread.join(10)
    print(f"load {os.getloadavg()[0]:.1f}")
    for name in seen[0]:
        print(f"{name}: {', '.join(f'{one[name]:,.0f}' for one in seen)}")


def _opened(browser: Any, address: str, prepared: Callable[[Any], None] = lambda _: None) -> dict[str, float]:
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    prepared(page)
    loaded: list[int] = []
    page.on("response", lambda answer: loaded.append(int(answer.headers.get("content-length", 0))))
    start = time.perf_counter()
    page.goto(address, wait_until="commit")
    page.wait_for_function(FIRST)
    first = time.perf_counter() - start
    page.wait_for_selector(".cell img")
    page.wait_for_load_state("load")
    count = sum(loaded)
    gaps = sorted(b - a for a, b in pairwise(page.evaluate(SCROLL)))
    orders = [page.evaluate(ORDER, order) for order in ("scene", "appeal")]
    page.close()
    return {
        "first picture of the wall, ms": 1000 * first,
        "bytes until the tray stands": count,
        "scrolling, frames a second": 1000 * len(gaps) / max(sum(gaps), 1),
        "scrolling, worst gap ms": gaps[-1] if gaps else 0,
        "another order, scene by scene, ms": orders[0],
        "and by appeal again, ms": orders[1],
    }

"""A board behind its guard, asked as a browser on this machine would ask."""

from contextlib import ExitStack

import pytest
from starlette.testclient import TestClient

from setsolver.web.app import make_app
from setsolver.web.guard import Keys
from tests.usecases.boards import act, open_board
from tests.web.browsing import CHROMIUM, FLAGS, opened, running

PORT = 8123


@pytest.fixture
def keys():
    return Keys(PORT)


@pytest.fixture
def board(tmp_path):
    return open_board(tmp_path)


@pytest.fixture
def stranger(board, keys):
    """A client that has shown no token yet."""
    return TestClient(make_app(board, keys), base_url=f"http://127.0.0.1:{PORT}", follow_redirects=False)


@pytest.fixture
def client(stranger, keys):
    """A client that came by the first address."""
    assert stranger.get(f"/?token={keys.token}").status_code == 303
    stranger.headers["origin"] = f"http://127.0.0.1:{PORT}"
    return stranger


@pytest.fixture(scope="session")
def browser():
    driver = pytest.importorskip("playwright.sync_api", reason="no Playwright here (pip install playwright)")
    with driver.sync_playwright() as playwright:
        found = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield found
        found.close()


@pytest.fixture
def open_page(browser):
    """Return what opens a page of an address and fails where the page itself reports an error."""
    faults = []
    with ExitStack() as stack:

        def open_(address, width=1280, height=900, **options):
            page = stack.enter_context(opened(browser, address, faults, width, height, **options))
            page.wait_for_selector(".print img")
            return page

        yield open_
    assert faults == []


@pytest.fixture(scope="module")
def whole(board, browser):
    """One page on the one board of a module."""
    faults = []
    with running(board) as address, opened(browser, address, faults) as page:
        yield page
    assert faults == []


@pytest.fixture
def page(whole, board):
    """The page on the board as it was opened, and as it is left again."""
    before = board.session.undoable
    yield whole
    while board.session.undoable > before:
        act(board, do="undo")
    whole.wait_for_function(
        "(now) => Number(document.getElementById('main').dataset.revision) === now", arg=board.revision
    )
    whole.evaluate("document.querySelector('dialog[open]')?.close()")
    for name in ("shows", "chapter", "scene", "stars", "kind", "wish"):
        whole.select_option(f"[data-id='filter-{name}']", "")
    whole.fill("[data-id='find']", "")

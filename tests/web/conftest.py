"""A board behind its guard, asked as a browser on this machine would ask."""

import pytest
from starlette.testclient import TestClient

from setsolver.web.app import make_app
from setsolver.web.guard import Keys
from tests.usecases.boards import open_board
from tests.web.browsing import CHROMIUM, FLAGS, is_fault

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
def open_page(browser, request):
    """Return what opens a page of an address and fails where the page itself reports an error."""
    contexts, faults = [], []

    def opened(address, width=1280, height=900, **options):
        context = browser.new_context(viewport={"width": width, "height": height}, **options)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.on("console", lambda told: faults.append(told.text) if told.type == "error" and is_fault(told.text) else 0)
        page.goto(address)
        page.wait_for_selector(".print img")
        page.wait_for_selector(".cell img")
        return page

    yield opened
    for context in contexts:
        context.close()
    assert faults == []

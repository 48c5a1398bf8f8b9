"""What goes wrong while pages are open: it is said on them, and the board goes on."""

import shutil
import time
from concurrent.futures import ThreadPoolExecutor

import httpx2
import pytest

from setsolver.usecases.board import state
from setsolver.usecases.frames import correct
from setsolver.usecases.scan import scan
from tests.usecases.boards import make_folder, open_board
from tests.web.browsing import BROWSED, hung, revision, running, settled, unfold

pytestmark = BROWSED

AT_ONCE, EACH = 10, 4


def test_a_board_that_ends_is_said_on_its_pages(tmp_path, browser):
    with running(open_board(tmp_path)) as address:
        context = browser.new_context()
        page = context.new_page()
        page.goto(address)
        page.wait_for_selector(".print img")
    page.wait_for_function("() => document.getElementById('trouble').textContent.includes('does not answer')")
    context.close()


def test_a_catalog_that_is_scanned_again_is_said_and_taken_in_by_a_button(tmp_path, open_page):
    folder = make_folder(tmp_path)
    with running(open_board(tmp_path)) as address:
        page = open_page(address)
        before = hung(page)
        assert page.is_hidden("#rescanned")
        shutil.copy(folder / "evening/0004.jpg", folder / "evening/0009.jpg")
        scan(folder, workers=0)
        correct(folder, {"evening/0009.jpg": {"kind": "photograph"}})
        page.evaluate("window.dispatchEvent(new Event('focus'))")  # whoever scanned comes back to the page
        page.wait_for_selector("#rescanned:not([hidden])")
        assert page.inner_text("#rescanned p") == "The catalog was scanned again: 1 frame new."
        assert hung(page) == before
        now = revision(page)
        page.click("[data-id='take-in']")
        settled(page, now)
        assert page.is_hidden("#rescanned")
        assert page.inner_text("#said").startswith("Taken in: 9 frames.")
        page.select_option("[data-id='filter-repeats']", "all")
        page.wait_for_function("() => document.getElementById('tray-count').innerText === '9 of 9 frames'")


def test_a_catalog_that_is_removed_is_said_and_the_page_goes_on_when_it_is_back(tmp_path, open_page):
    folder = make_folder(tmp_path)
    with running(open_board(tmp_path)) as address:
        page = open_page(address)
        before = hung(page)
        gone = folder.rename(tmp_path / "elsewhere")
        page.click(".print[data-place='1']")
        page.click("#chosen [data-id='stars-4']")
        page.wait_for_function("() => document.getElementById('trouble').textContent.includes('does not exist')")
        assert hung(page) == before
        assert page.get_attribute("#chosen [data-id='stars-4']", "aria-pressed") == "false"
        gone.rename(folder)
        now = revision(page)
        page.click("#chosen [data-id='stars-4']")
        settled(page, now)
        assert page.is_hidden("#trouble")
        assert page.get_attribute("#chosen [data-id='stars-4']", "aria-pressed") == "true"


def test_ten_clients_at_once_lose_nothing_and_a_page_sees_it_all(tmp_path, open_page):
    board = open_board(tmp_path)
    terms = [weight["term"] for weight in board.view()["weights"]][:AT_ONCE]

    def client(address, term):
        where = address.partition("/?")[0]
        with httpx2.Client(base_url=where, headers={"origin": where}, timeout=120, trust_env=False) as asking:
            assert asking.get(address).status_code == 303
            for points in range(1, EACH + 1):
                done = asking.post("/act", json={"do": "weigh", "term": term, "points": points})
                assert done.status_code == 200
                key = done.json()["set"]["prints"][0]["frame"]
                told = [asking.get(f"/swaps/{key}"), asking.get("/frames"), asking.get(f"/frame/{key}/240")]
                assert {one.status_code for one in told} <= {200, 422}  # overtaken by another's change: in a sentence
                assert all("says" in one.json() for one in told if one.status_code == 422)

    with running(board) as address:
        page = open_page(address)
        with ThreadPoolExecutor(AT_ONCE) as pool:
            for _ in pool.map(lambda term: client(address, term), terms):
                pass
        view = board.view()
        assert view["undo"] == AT_ONCE * EACH
        assert {weight["term"]: weight["points"] for weight in view["weights"] if weight["term"] in terms} == (
            dict.fromkeys(terms, EACH)
        )
        page.wait_for_function(
            "(now) => Number(document.getElementById('main').dataset.revision) === now", arg=board.revision
        )
        assert hung(page) == [one["name"] for one in view["set"]["prints"]]
        page.click("#undo")
        page.wait_for_function(
            "(n) => Number(document.getElementById('main').dataset.revision) > n", arg=view["revision"]
        )
        assert board.view()["undo"] == AT_ONCE * EACH - 1


@pytest.mark.parametrize("width", [1280, 390])
def test_what_takes_long_is_said_and_can_be_stopped_and_nothing_has_changed(tmp_path, open_page, monkeypatch, width):
    def slow(session, alternates=0):
        session.effort.tell("No set was found: looking for the rules that cannot hold together")
        while not session.effort.stop():
            time.sleep(0.01)
        return session.outcome(alternates=alternates, repeats=False)

    board = open_board(tmp_path)
    with running(board) as address:
        page = open_page(address, width)
        before, now = hung(page), revision(page)
        assert page.is_disabled("#stop")
        unfold(page, "points")
        with monkeypatch.context() as patched:
            patched.setattr(state, "answer_of", slow)
            page.fill("[data-id='number-appeal']", "5")
            page.keyboard.press("Enter")
            page.wait_for_function(
                "() => document.getElementById('working').textContent.startsWith('No set was found: looking for')"
            )
            assert not page.is_visible("#said")
            assert page.evaluate("document.documentElement.scrollWidth") <= width
            page.click("#stop")
            page.wait_for_function("() => document.getElementById('trouble').textContent.startsWith('Stopped before')")
        page.wait_for_selector("main[aria-busy=false]")
        assert (hung(page), revision(page)) == (before, now)
        assert page.input_value("[data-id='number-appeal']") != "5"
        assert page.is_disabled("#undo")
        page.fill("[data-id='number-appeal']", "5")
        page.keyboard.press("Enter")
        settled(page, now)
        assert page.is_hidden("#trouble")


@pytest.mark.parametrize("width", [1280, 390])
def test_notices_leave_room_for_the_page(tmp_path, open_page, width):
    folder = make_folder(tmp_path)
    with running(open_board(tmp_path)) as address:
        page = open_page(address, width)
        shutil.copy(folder / "evening/0004.jpg", folder / "evening/0009.jpg")
        scan(folder, workers=0)
        page.evaluate("window.dispatchEvent(new Event('focus'))")
        page.wait_for_selector("#rescanned:not([hidden])")
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert page.query_selector("#sheet").bounding_box()["height"] > 100

"""The board in a real browser: chosen with the mouse and with the keyboard alone, wide and narrow, and by two at once.

Debian's Chromium, driven by Playwright; where either is missing, the tests say so and skip.
"""

import threading

import pytest

from setsolver.usecases.board import settling
from tests.usecases.boards import frame_rows, open_board
from tests.web.browsing import BROWSED, PROVEN, hung, reach, revision, running, settled

pytestmark = BROWSED


@pytest.mark.parametrize("width", [1280, 390])
def test_a_swap_is_looked_at_taken_and_taken_back_with_the_mouse(tmp_path, open_page, width):
    with running(open_board(tmp_path)) as address:
        page = open_page(address, width)
        before = hung(page)
        first = page.get_attribute(".print[data-place='2'] img", "src")
        page.click(".print[data-place='2']")
        page.wait_for_selector(PROVEN)
        page.hover(".swaps li:first-child")
        assert page.get_attribute(".print[data-place='2'] img", "src") != first
        comes = page.inner_text(".swaps li:first-child .name").split()[0]
        told = page.inner_text("#tried")  # in words, too: a picture alone would pass for the set
        assert told.startswith(f"Only tried in place 2: {comes} for {before[1]}, ")
        assert told.endswith("Nothing is changed yet.")
        assert page.inner_text(".print[data-place='2'] .called") == "2 only tried"
        assert not page.is_visible("#said")
        page.hover("#chosen-head")
        assert page.get_attribute(".print[data-place='2'] img", "src") == first
        assert page.inner_text("#tried") == ""
        assert page.is_visible("#said")
        comes = page.inner_text(".swaps li:first-child .name").split()[0]
        now = revision(page)
        page.click(".swaps li:first-child >> text=Put it here")
        settled(page, now)
        assert set(hung(page)) == set(before) - {before[1]} | {comes}
        assert page.inner_text("#said").startswith(f"{comes} for {before[1]}; the others stay.")
        page.click("#undo")
        settled(page, now + 1)
        assert hung(page) == before
        assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_what_a_swap_stands_for_is_unfolded_tried_and_put(tmp_path, open_page):
    with running(open_board(tmp_path)) as address:
        page = open_page(address)
        for place in (1, 2, 3):
            page.click(f".print[data-place='{place}']")
            page.wait_for_selector(PROVEN)
            if page.query_selector("[data-id^='like-']"):
                break
        more = page.get_attribute("[data-id^='like-']", "data-id")
        shown = len(page.query_selector_all(".swaps li"))
        reach(page, f"[data-id='{more}']")
        page.keyboard.press("Enter")
        page.wait_for_selector(".swaps li.like [data-id^='put-']")
        count = int(page.inner_text(f"[data-id='{more}']").split()[0])
        assert len(page.query_selector_all(".swaps li")) == shown + count
        page.wait_for_function(
            "() => [...document.querySelectorAll('.swaps li.like')].every((one) => /proven/.test(one.textContent))"
        )
        assert page.get_attribute(f"[data-id='{more}']", "aria-expanded") == "true"
        assert page.evaluate("document.activeElement.dataset.id") == more
        page.focus(".swaps li.like [data-id^='put-']")
        comes = page.inner_text(".swaps li.like .name").split()[0]
        assert comes in page.inner_text("#tried")
        now = revision(page)
        page.keyboard.press("Enter")
        settled(page, now)
        assert comes in hung(page)
        assert page.inner_text("#tried") == ""
        page.click("#free-all")
        settled(page, now + 1)
        assert page.is_hidden("#free-all")


def test_everything_is_done_by_keyboard_alone(tmp_path, open_page):
    with running(open_board(tmp_path)) as address:
        page = open_page(address)
        before = hung(page)
        reach(page, "[data-place='1']")
        page.keyboard.press("Enter")
        assert page.evaluate("document.activeElement.id") == "chosen-head"
        page.wait_for_selector(PROVEN)
        reach(page, "[data-id^='put-']")
        now = revision(page)
        page.keyboard.press("Enter")
        settled(page, now)
        assert hung(page) != before
        page.keyboard.press("Control+z")
        settled(page, now + 1)
        assert hung(page) == before
        reach(page, "#sheet")
        page.keyboard.press("ArrowRight")
        key = page.evaluate("document.querySelector('.cell.at img').getAttribute('src').split('/')[2]")
        page.keyboard.press("+")
        settled(page, now + 2)
        assert page.evaluate("() => import('/page/board.js').then((part) => part.board.state.pinned)") == [key]
        page.keyboard.press("=")
        settled(page, now + 3)
        page.keyboard.press(".")
        page.keyboard.press(".")
        settled(page, now + 4)
        assert "2 of 5" in page.inner_text(".cell.at")
        reach(page, "[data-id='number-appeal']")
        page.keyboard.press("Control+a")
        page.keyboard.type("5")
        page.keyboard.press("Enter")
        settled(page, now + 5)
        assert "other weights" in page.inner_text("#said")


def test_stars_turn_scale_and_bars_are_kept_through_a_reload(tmp_path, open_page):
    board = open_board(tmp_path)
    with running(board) as address:
        page = open_page(address)
        page.click(".cell >> nth=0")
        name = page.inner_text("#chosen-head").split(". ")[-1]
        for press in ("[data-id='stars-4']", "[data-id='scale-close']", "[data-id='turn']", "[data-id='bar']"):
            now = revision(page)
            page.click(f"#chosen {press}")
            settled(page, now)
        page.reload()
        page.wait_for_selector(".cell img")
        assert name not in hung(page)
        (row,) = [row for row in frame_rows(board.frames()) if row["name"] == name]
        assert (row["stars"], row["said"], row["turn"]) == (4, "close", 90)


def test_a_turn_is_answered_at_once_said_to_be_looked_at_still_and_then_as_measured(tmp_path, open_page, monkeypatch):
    go, real = threading.Event(), settling.measured_ahead

    def ahead(*asked):
        assert go.wait(60)
        real(*asked)

    monkeypatch.setattr(settling, "measured_ahead", ahead)
    board = open_board(tmp_path)
    with running(board) as address:
        page = open_page(address)
        page.click(".print[data-place='1']")
        name, now = hung(page)[0], revision(page)
        page.click("#chosen [data-id='turn']")
        settled(page, now)
        assert page.inner_text("#proof").startswith(f"Still looking: {name} is being measured as turned")
        assert page.inner_text("#said").endswith("and the set may change.")
        go.set()
        page.wait_for_function(
            "(says) => document.getElementById('said').textContent.startsWith(says)", arg=f"Measured as turned: {name}."
        )
        assert "Still looking" not in page.inner_text("#proof")
        page.click("#undo")
        page.wait_for_function("() => document.getElementById('said').textContent.startsWith('Taken back.')")
        assert hung(page)[0] == name
        board.close()


def test_the_tray_is_sifted_and_sorted(tmp_path, open_page):
    with running(open_board(tmp_path)) as address:
        page = open_page(address)
        page.fill("[data-id='find']", "MORNING 0002")
        assert page.inner_text("#tray-count") == "1 of 8 frames"
        page.fill("[data-id='find']", "")
        page.select_option("[data-id='filter-repeats']", "all")
        page.select_option("[data-id='filter-sort']", "name")
        assert page.inner_text(".cell .name >> nth=0") == "0004.jpg"  # evening before morning
        page.select_option("[data-id='filter-wish']", "hung")
        assert page.inner_text("#tray-count") == "3 of 8 frames"


def test_two_pages_see_each_other_s_changes(tmp_path, open_page):
    with running(open_board(tmp_path)) as address:
        one, other = open_page(address), open_page(address)
        now = revision(one)
        one.click(".print[data-place='1']")
        one.click("#chosen [data-id='bar']")
        settled(one, now)
        settled(other, now)
        assert hung(other) == hung(one)
        assert other.inner_text("#said") == one.inner_text("#said")


def test_prints_as_shot_and_a_clash_with_its_way_out(tmp_path, open_page):
    with running(open_board(tmp_path)) as address:
        page = open_page(address)
        page.focus(".print[data-place='1']")
        page.keyboard.press("c")
        assert "/shot/" in page.get_attribute(".print[data-place='1'] img", "src")
        assert page.get_attribute("#tone", "aria-pressed") == "true"
        page.click(".cell >> nth=0")
        for key in ("morning", "evening"):
            now = revision(page)
            page.fill("[data-id='find']", key)
            page.click(".cell >> nth=0")
            page.click("#chosen [data-id='bar-folder']")
            settled(page, now)
        assert page.inner_text("#score") == "No set"
        assert page.inner_text("#clash h3") == "These rules cannot hold together"
        now = revision(page)
        page.click("[data-id='clash-undo']")
        settled(page, now)
        assert len(hung(page)) == 3

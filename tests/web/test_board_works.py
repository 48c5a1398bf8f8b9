"""What is done with frames in a real browser: one board and one page, left by each test as it was found."""

import pytest

from tests.usecases.boards import frame_rows
from tests.web.browsing import BROWSED, cells, hung, on_a_wall, reach, revision, settled

pytestmark = BROWSED


@pytest.fixture(scope="module")
def board(tmp_path_factory):
    yield from on_a_wall(tmp_path_factory)


def test_the_tray_is_sifted_by_all_that_is_known_and_sorted_by_what_frames_would_earn(page, board):
    rows = {row["name"]: row for row in frame_rows(board.frames())}
    page.select_option("[data-id='filter-repeats']", "all")
    for name, key in (("shows", "shows"), ("chapter", "chapter"), ("scene", "scene"), ("kind", "kind")):
        value = next(iter(rows.values()))[key]
        page.select_option(f"[data-id='filter-{name}']", str(value))
        assert set(cells(page)) == {one for one, row in rows.items() if row[key] == value}
        page.select_option(f"[data-id='filter-{name}']", "")
    page.select_option("[data-id='filter-sort']", "quality")
    marks = [rows[name]["quality"] for name in cells(page)]
    assert marks == sorted(marks, reverse=True)
    page.select_option("[data-id='filter-sort']", "earns")
    page.wait_for_selector(".cell >> text=/points/")
    earns = board.earnings()["earns"]
    points = [earns.get(rows[name]["frame"], float("-inf")) for name in cells(page)]
    assert points == sorted(points, reverse=True)
    page.select_option("[data-id='filter-sort']", "appeal")


def test_repeats_are_folded_under_the_best_and_unfolded_by_a_key(page, board):
    page.select_option("[data-id='filter-repeats']", "folded")
    rows = frame_rows(board.frames())
    hidden = len(rows) - len(cells(page))
    assert len({row["fold"] for row in rows}) <= len(cells(page)) < len(rows)
    page.focus("#sheet")
    page.keyboard.press("Home")
    while "like it" not in page.inner_text(".cell.at"):
        page.keyboard.press("ArrowRight")
    page.keyboard.press("u")
    assert len(cells(page)) > len(rows) - hidden
    page.keyboard.press("u")
    assert len(cells(page)) == len(rows) - hidden
    page.select_option("[data-id='filter-repeats']", "all")


def test_a_shoot_is_read_large_and_rated_by_keys_and_the_stars_go_together(page, board):
    page.focus("#sheet")
    page.keyboard.press("Home")
    page.keyboard.press(" ")
    page.wait_for_selector("dialog[open] .plate img")
    before, made = page.inner_text("#reading-name"), board.session.undoable
    for stars in (4, 2, 5):
        for _ in range(stars):
            page.keyboard.press(".")
        page.keyboard.press("ArrowRight")
    assert page.inner_text("#reading-name") != before
    page.wait_for_function("() => document.getElementById('said').textContent.startsWith('Stars for')")
    settled(page, board.revision - 1)
    assert sorted(row["stars"] for row in frame_rows(board.frames()) if row["stars"]) == [2, 4, 5]
    assert board.session.undoable - made <= 3
    page.keyboard.press("Escape")
    assert page.evaluate("document.activeElement.id") == "sheet"


def test_a_print_is_framed_by_keys_with_its_numbers_following_and_by_dragging(page, board):
    key = board.view()["set"]["prints"][0]["frame"]
    page.click(".print[data-place='1']")
    page.click("[data-id='crop']")
    reach(page, "[data-id='crop-edge']")
    src = page.get_attribute(".print[data-place='1'] img", "src")
    for press in ("-", "-", "-", "Shift+ArrowLeft", "]", "]"):
        page.keyboard.press(press)
    page.wait_for_function(
        "(src) => document.querySelector(\".print[data-place='1'] img\").getAttribute('src') !== src", arg=src
    )
    page.wait_for_function(
        "() => /pixels per inch; correction/.test(document.querySelector('.framing .says').textContent)"
    )
    box = page.query_selector("[data-id='crop-edge']").bounding_box()
    page.mouse.move(box["x"] + 40, box["y"] + 40)
    page.mouse.down()
    page.mouse.move(box["x"] + 44, box["y"] + 45, steps=3)
    page.mouse.up()
    now = revision(page)
    page.click("[data-id='crop-keep']")
    settled(page, now)
    print_ = next(one for one in board.view()["set"]["prints"] if one["frame"] == key)
    assert print_["by_hand"]
    assert print_["share"] == pytest.approx(0.97, abs=0.005)
    assert print_["level"] == pytest.approx(-0.2)
    assert "is framed by hand, and so pinned" in page.inner_text("#said")
    now = revision(page)
    page.click("[data-id='crop-back']")
    settled(page, now)
    assert not any(one["by_hand"] for one in board.view()["set"]["prints"])


def test_a_frame_is_pinned_to_a_slot_and_dragged_onto_a_print(page, board):
    before = hung(page)
    page.click(".print[data-place='1']")
    slot = board.view()["set"]["prints"][0]["slot"]
    now = revision(page)
    page.click(f"[data-id='seat-{slot}']")
    settled(page, now)
    assert list(board.view()["seated"].values()) == [slot]
    assert page.get_attribute(f"[data-id='seat-{slot}']", "aria-pressed") == "true"
    newcomer = next(name for name in cells(page) if name not in before)
    now = revision(page)
    page.drag_and_drop(f".cell:has-text('{newcomer}')", ".print[data-place='2']")
    settled(page, now)
    assert newcomer in hung(page)
    assert before[1] not in hung(page)


def test_where_no_frame_fits_it_is_said_with_a_way_back(page):
    everyone = len(cells(page))
    page.select_option("[data-id='filter-stars']", "5")
    page.fill("[data-id='find']", "nothing is called so")
    assert page.inner_text("#none").startswith("No frame fits all that is asked for here.")
    assert cells(page) == []
    page.click("[data-id='show-all']")
    assert len(cells(page)) == everyone
    assert page.input_value("[data-id='find']") == page.input_value("[data-id='filter-stars']") == ""
    assert page.is_hidden("#none")
    assert page.evaluate("document.activeElement.id") == "sheet"

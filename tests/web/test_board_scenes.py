"""The tray scene by scene in a real browser: headings, keys that go over them, no more in the page than is in sight."""

import pytest

from setsolver.usecases.board import Board
from setsolver.usecases.effort import Effort
from tests.rules.builders import make_random_snapshot
from tests.usecases.boards import frame_rows
from tests.usecases.made_up import fill
from tests.web.browsing import BROWSED, cells

pytestmark = BROWSED

FRAMES = 700


@pytest.fixture(scope="module")
def board(tmp_path_factory):
    home = tmp_path_factory.mktemp("scenes")
    folder = home / "pottery"
    folder.mkdir()
    fill(folder, make_random_snapshot(FRAMES, seed=1))
    return Board(folder, "wall-three", effort=Effort(60.0, workers=1))


@pytest.fixture
def page(whole):
    return whole


def scenes(board):
    """Return the scenes as they begin, each with the names of its frames as taken."""
    rows = sorted(frame_rows(board.frames()), key=lambda row: (row["time"], row["name"]))
    found = {}
    for row in rows:
        found.setdefault(row["scene"], []).append(row["name"])
    return found


def at(page):
    return page.inner_text(".cell.at .name")


def headings(page):
    return page.eval_on_selector_all("#sheet .scene", "all => all.map((one) => one.textContent)")


def test_the_tray_lies_scene_by_scene_under_headings_that_keys_go_over(page, board):
    found = scenes(board)
    groups, order = list(found.values()), list(found)
    assert len(groups) > 20
    page.select_option("[data-id='filter-repeats']", "all")
    page.select_option("[data-id='filter-sort']", "scene")
    page.focus("#sheet")
    page.keyboard.press("Home")
    for heading, scene, names in zip(headings(page), order, groups, strict=False):  # those in sight
        assert heading.startswith(f"Scene {scene + 1} of chapter 1: {len(names)} frame")
        assert ", 2 May 2026, " in heading
    seen = cells(page)
    assert seen == [name for names in groups for name in names][: len(seen)]
    assert at(page) == groups[0][0]
    page.keyboard.press("n")
    assert at(page) == groups[1][0]
    page.keyboard.press("ArrowLeft")
    assert at(page) == groups[0][-1]
    page.keyboard.press("p")
    assert at(page) == groups[0][0]
    page.keyboard.press("End")
    assert at(page) == groups[-1][-1]
    page.keyboard.press("n")  # there is none after the last
    assert at(page) == groups[-1][-1]
    labels = page.eval_on_selector_all(
        "#sheet [role=group]",
        "all => all.map((one) => document.getElementById(one.getAttribute('aria-labelledby')).textContent)",
    )
    assert labels == headings(page)
    assert labels[-1].startswith(f"Scene {order[-1] + 1} of chapter 2: ")
    page.select_option("[data-id='filter-scene']", str(order[1]))
    assert cells(page) == groups[1][: len(cells(page))]
    assert len(headings(page)) == 1
    page.select_option("[data-id='filter-scene']", "")
    page.select_option("[data-id='filter-sort']", "appeal")
    assert headings(page) == []


TOP = """() => {
  const { left, top } = document.getElementById("sheet").getBoundingClientRect();
  return document.elementFromPoint(left + 60, top + 4).className;
}"""


def test_what_is_at_hand_is_never_under_the_heading_or_out_of_sight(page, board):
    page.select_option("[data-id='filter-repeats']", "all")
    page.select_option("[data-id='filter-sort']", "scene")
    page.focus("#sheet")
    page.keyboard.press("Home")
    for press in [*["ArrowDown"] * 12, "PageDown", "PageDown", *["ArrowUp"] * 14, "End", "p", "p", "ArrowLeft", "Home"]:
        page.keyboard.press(press)
        sheet, cell = (page.query_selector(one).bounding_box() for one in ("#sheet", ".cell.at"))
        assert cell["y"] >= sheet["y"] + 38 - 1, press  # below the heading, which stays
        assert page.evaluate(TOP) in ("scene", "sheet"), press  # and no picture shows above it
        assert cell["y"] + cell["height"] <= sheet["y"] + sheet["height"] + 1, press
    page.select_option("[data-id='filter-sort']", "appeal")


def test_no_more_stands_in_the_page_than_is_in_sight_and_a_little_more(page, board):
    page.select_option("[data-id='filter-sort']", "scene")
    page.evaluate("document.getElementById('sheet').scrollTop = 1e9")
    page.wait_for_function(
        "(name) => [...document.querySelectorAll('.scene')].pop().textContent.startsWith(name)",
        arg=f"Scene {list(scenes(board))[-1] + 1} ",
    )
    assert 0 < len(cells(page)) < 80
    assert len(headings(page)) < 12
    page.select_option("[data-id='filter-sort']", "appeal")


def test_repeats_fold_within_their_scene_and_are_counted_in_its_heading(page, board):
    found = scenes(board)
    page.select_option("[data-id='filter-repeats']", "folded")
    page.select_option("[data-id='filter-sort']", "scene")
    page.focus("#sheet")
    page.keyboard.press("Home")
    first = next(iter(found))
    assert headings(page)[0].startswith(f"Scene {first + 1} of chapter 1: {len(found[first])} frames")
    folded = len(cells(page))
    while "like it" not in page.inner_text(".cell.at"):
        page.keyboard.press("ArrowRight")
    name = at(page)
    page.keyboard.press("u")
    assert at(page) == name
    assert headings(page)[0].startswith(f"Scene {first + 1} of chapter 1: {len(found[first])} frames")
    page.keyboard.press("u")
    assert len(cells(page)) == folded
    page.select_option("[data-id='filter-sort']", "appeal")


LAYS = """(across) => import('/page/sections.js').then((parts) => {
  const sizes = [1, 7, 2, 12, 3], shown = [];
  for (const [scene, size] of sizes.entries()) for (let n = 0; n < size; n += 1) {
    shown.push({ scene: scene === 4 ? -1 : scene, chapter: 0, hidden: 0, time: null, taken: "" });
  }
  const lies = parts.layOut(parts.sectionsOf(shown, true), across);
  const of = (key) => lies.sections.map((one) => one[key]);
  const each = (move) => shown.map((_, index) => move(index));
  return {
    high: lies.high,
    tops: of("top"),
    says: of("says"),
    down: each((index) => parts.linesOn(lies, index, 1)),
    up: each((index) => parts.linesOn(lies, index, -1)),
    far: each((index) => parts.linesOn(lies, index, 3)),
    next: each((index) => parts.sectionOn(lies, index, 1)),
    before: each((index) => parts.sectionOn(lies, index, -1)),
  };
})"""


@pytest.mark.parametrize("across", [1, 3, 5, 20])
def test_lines_of_scenes_are_counted_as_they_lie(page, across):
    """Against a plain list of lines: each scene begins a new one."""
    sizes, lines, start = [1, 7, 2, 12, 3], [], 0
    for size in sizes:
        lines += [list(range(at, min(at + across, start + size))) for at in range(start, start + size, across)]
        start += size
    where = {one: (line, column) for line, row in enumerate(lines) for column, one in enumerate(row)}

    def moved(one, by):
        line, column = where[one]
        other = lines[max(0, min(len(lines) - 1, line + by))]
        return one if other is lines[line] else other[min(column, len(other) - 1)]

    found = page.evaluate(LAYS, across)
    assert found["high"] == 158 * len(lines) + 38 * len(sizes)
    assert found["tops"][1] == 158 + 38
    assert found["says"][0] == "Scene 1 of chapter 1: 1 frame, time unknown"
    assert found["says"][4] == "In no scene: 3 frames, time unknown"
    for name, by in (("down", 1), ("up", -1), ("far", 3)):
        assert found[name] == [moved(one, by) for one in range(start)]
    begins = [sum(sizes[:at]) for at in range(len(sizes))]
    assert found["next"] == [next((one for one in begins if one > at), at) for at in range(start)]
    assert found["before"] == [max([one for one in begins if one < at], default=0) for at in range(start)]

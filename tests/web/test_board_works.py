"""What is done with a whole board in a real browser: one board and one page, left by each test as it was found."""

import json

import pytest

from setsolver.usecases.board.rows import key_of
from tests.cli.shoot import BRIEF
from tests.usecases.boards import act, frame_rows, open_board, write_brief
from tests.usecases.test_board_clients import line
from tests.web.browsing import BROWSED, bar_both_folders, hung, is_fault, reach, revision, running, settled

pytestmark = BROWSED

ROLES = "[roles]\nwide = [0, 2]\nmedium = [0, 2]\nclose = [0, 2]\n"
WALL = '[wall]\nwidth = 300\nheight = 250\nclear = [{ left = 20, width = 120, height = 80, what = "sofa" }]\n'


@pytest.fixture(scope="module")
def board(tmp_path_factory):
    home = tmp_path_factory.mktemp("works")
    write_brief(home, BRIEF.replace("[tone]", f"{ROLES}{WALL}[tone]", 1))
    board = open_board(home, out=home / "prints")
    yield board
    board.finishing.end()


@pytest.fixture(scope="module")
def whole(board, browser):
    """The page, with what it reported as faults."""
    with running(board) as address:
        context = browser.new_context(viewport={"width": 1280, "height": 900})
        page, faults = context.new_page(), []
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.on("console", lambda told: faults.append(told.text) if told.type == "error" and is_fault(told.text) else 0)
        page.goto(address)
        page.wait_for_selector(".cell img")
        yield page
        context.close()
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


def cells(page):
    return page.eval_on_selector_all(".cell .name", "all => all.map((one) => one.textContent)")


def unfold(page, part):
    page.eval_on_selector(f"#{part}", "(one) => { one.open = true; }")


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


def test_each_way_out_of_a_clash_is_a_button(page, board):
    bar_both_folders(page)
    ways = page.eval_on_selector_all("[data-id^='way-']", "all => all.map((one) => one.textContent)")
    assert any(way.startswith("without any of 8 bars") for way in ways)
    now = revision(page)
    page.click(f"[data-id='way-{1 + next(at for at, way in enumerate(ways) if way.startswith('without any'))}']")
    settled(page, now)
    assert len(hung(page)) == 3


def test_a_version_is_kept_compared_and_preferred(page, board):
    first, paths = hung(page), [one["path"] for one in board.view()["set"]["prints"]]
    unfold(page, "versions")
    unfold(page, "sets")
    page.wait_for_selector("[data-id='name-2']")
    page.fill("[data-id='name-2']", "bolder")
    page.click("[data-id='version-2']")
    page.wait_for_function("() => document.getElementById('said').textContent === 'Kept as bolder.'")
    page.fill("[data-id='version-name']", "calm")
    page.keyboard.press("Enter")
    page.wait_for_function("() => document.getElementById('said').textContent === 'Kept as calm.'")
    page.wait_for_function("() => document.querySelector('[data-id=version-name]').value === ''")
    page.click("[data-id='compare']")
    page.wait_for_selector("#version-table article[aria-label='bolder'] .strip img")
    assert page.inner_text("#version-table article[aria-label='calm'] p >> nth=0").startswith("0.0 points")
    now = revision(page)
    page.click("#version-table [aria-label='Prefer this one: bolder']")
    settled(page, now)
    assert hung(page) != first
    (choice,) = [json.loads(text) for text in board.kept.choices.file.read_text("utf-8").splitlines()]
    assert [set(paths) for paths in choice["over"]] == [set(paths)]
    for name in ("bolder", "calm"):
        page.click(f"[aria-label='Throw it away: {name}']")
        page.wait_for_function(f"() => document.getElementById('said').textContent === '{name} is thrown away.'")


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


def widths(page, figure):
    """Return how wide the prints of one of both sets are drawn, in pixels a centimetre, by what they show."""
    return page.eval_on_selector_all(
        f".both figure:nth-of-type({figure}) .hangs", "all => all.map((one) => one.getBoundingClientRect().width)"
    )


@pytest.mark.parametrize("width", [1280, 390])
def test_two_sets_are_looked_at_one_above_the_other_and_the_better_one_is_hung(page, width):
    page.set_viewport_size({"width": width, "height": 900})
    first = hung(page)
    unfold(page, "sets")
    page.wait_for_selector("[data-id='both-2']")
    page.focus("[data-id='both-2']")
    page.keyboard.press("Enter")
    page.wait_for_selector("dialog.sides[open] .hangs img")
    assert page.inner_text("#sides-name") == "On the wall, and set 2"
    assert widths(page, 1) == pytest.approx(widths(page, 2), rel=0.01)  # prints of one size, to one scale
    upper, lower = (page.query_selector(f".both figure:nth-of-type({at})").bounding_box() for at in (1, 2))
    assert lower["y"] >= upper["y"] + upper["height"]
    assert page.evaluate("document.querySelector('.sides').scrollWidth <= document.querySelector('.sides').clientWidth")
    alone = page.eval_on_selector_all(".both figure:nth-of-type(1) .alone img", "all => all.map((one) => one.alt)")
    assert f"Only on the wall {', '.join(one.split(',')[0] for one in alone)}" in page.inner_text(".sides .gains")
    assert page.inner_text(".sides .gains p >> nth=0").startswith("\u2212")
    page.keyboard.press("ArrowRight")
    assert page.inner_text("#sides-name") == "On the wall, and set 3"
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("Escape")
    assert page.evaluate("document.activeElement.dataset.id") == "both-2"
    page.keyboard.press("Enter")
    now = revision(page)
    page.click("[data-id='sides-act']")
    settled(page, now)
    assert hung(page) != first
    assert page.query_selector("dialog.sides[open]") is None
    page.set_viewport_size({"width": 1280, "height": 900})


def test_rules_of_every_kind_are_controls(page, board):
    unfold(page, "all-rules")
    for part in page.query_selector_all("#rules details"):
        part.evaluate("(one) => { one.open = true; }")
    for key, value, kind in (
        ("layout.kind", "column", "select"),
        ("tone.slack.mid", "30", "text"),
        ("size", "2", "text"),
    ):
        now = revision(page)
        if kind == "select":
            page.select_option(f"[data-id='rule-{key}']", value)
        else:
            page.fill(f"[data-id='rule-{key}']", value)
            page.keyboard.press("Enter")
        settled(page, now)
        assert page.input_value(f"[data-id='rule-{key}']") == value
    assert len(hung(page)) == 2
    page.fill("[data-id='rule-aspect']", "wide")
    page.keyboard.press("Enter")
    page.wait_for_function("() => document.getElementById('trouble').textContent.includes('no aspect')")


def test_a_count_that_contradicts_others_offers_each_way_out_as_a_button(page, board):
    unfold(page, "all-rules")
    page.eval_on_selector("#rules [data-group='Set']", "(one) => { one.open = true; }")
    page.fill("[data-id='rule-size']", "7")
    page.keyboard.press("Enter")
    page.wait_for_selector("[data-id='mend-1']")
    assert "The roles allow at most 6 frames, but size is 7" in page.inner_text("#trouble p")
    assert len(page.inner_text("#trouble p")) < 90  # and not the whole brief
    assert page.input_value("[data-id='rule-size']") == "3"
    now = revision(page)
    page.click("[data-id='mend-1']")
    settled(page, now)
    assert page.input_value("[data-id='rule-size']") == "7"
    assert page.is_hidden("#trouble")


def test_each_weight_says_what_it_gains_and_costs(page):
    page.click("[data-id='prices']")
    page.wait_for_selector(".price")
    texts = page.eval_on_selector_all(".price", "all => all.map((one) => one.textContent)")
    assert all(text.startswith(("Changes nobody", "Brings ")) for text in texts)
    assert len(texts) >= 5


def test_what_holds_the_set_back_is_told_in_sentences(page, board):
    told = board.holds()
    page.click("[data-id='holds']")
    page.wait_for_selector("#held-head")
    said = page.eval_on_selector_all("#held-head ~ ul li", "all => all.map((one) => one.textContent)")
    assert said == [one["says"] for one in told["holds"]]
    assert page.evaluate("document.activeElement.id") == "held-head"


def test_what_clients_ticked_is_read_shown_together_and_pinned(page, board, tmp_path):
    paths = [row["path"] for row in frame_rows(board.frames())][:3]
    files = [tmp_path / "anna.jsonl", tmp_path / "boris.jsonl"]
    files[0].write_text(line("Anna", paths[:2], notes={"print 1": "<b>larger</b>"}), "utf-8")
    files[1].write_text(line("Boris", paths[1:]), "utf-8")
    unfold(page, "clients")
    page.set_input_files("[data-id='client-file']", [str(file) for file in files])
    page.wait_for_selector("article[aria-label='Boris']")
    assert "<b>larger</b>" in page.inner_text("article[aria-label='Anna']")
    page.select_option("[data-id='filter-wish']", "ticked")
    page.wait_for_function("() => document.getElementById('tray-count').innerText === '3 of 8 frames'")
    assert "ticked by Anna, Boris" in page.inner_text("#sheet")
    now = revision(page)
    page.click("[data-id='pin-ticked']")
    settled(page, now)
    assert board.view()["pinned"] == [key_of(paths[1])]
    page.select_option("[data-id='filter-wish']", "")
    for name in ("Anna", "Boris"):
        page.click(f"[aria-label='Set aside: the answer of {name}']")
        page.wait_for_selector(f"article[aria-label='{name}']", state="detached")


def test_the_whole_wall_is_drawn_with_what_stands_before_it(page):
    narrow = page.query_selector(".print[data-place='1']").bounding_box()["width"]
    page.click("#whole")
    assert page.inner_text(".clear") == "sofa"
    share = page.evaluate(
        "() => document.querySelector('.clear').offsetWidth / document.querySelector('.whole-wall').offsetWidth"
    )
    assert share == pytest.approx(120 / 300, abs=0.01)
    assert page.query_selector(".print[data-place='1']").bounding_box()["width"] < narrow
    page.click("#whole")

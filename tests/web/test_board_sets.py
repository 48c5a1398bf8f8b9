"""Sets side by side, clients' ticks and the whole wall in a real browser, on one board and page for all tests."""

import json

import pytest

from setsolver.usecases.board.rows import key_of
from tests.usecases.test_board_clients import line
from tests.web.browsing import BROWSED, hung, on_a_wall, revision, settled, unfold

pytestmark = BROWSED


@pytest.fixture(scope="module")
def board(tmp_path_factory):
    yield from on_a_wall(tmp_path_factory)


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
    page.wait_for_selector("[data-id='both-3']")  # each set comes as soon as it is known
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


def test_what_clients_ticked_is_read_shown_together_and_pinned(page, board, tmp_path):
    paths = [one["path"] for one in board.view()["set"]["prints"]]  # no two of them alike, which the sheet would fold
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


def test_the_wall_alone_is_looked_at_large(page):
    small = page.query_selector("[data-id='print-1']").bounding_box()
    page.click("[data-id='large']")
    assert page.inner_text("#sides-name") == "On the wall"
    assert len(page.query_selector_all("dialog[open] .hangs img")) == 3
    assert page.query_selector("dialog[open] .hangs").bounding_box()["width"] > 1.3 * small["width"]
    page.keyboard.press("Escape")
    assert page.evaluate("document.activeElement.dataset.id") == "large"


def test_a_print_that_cannot_be_read_anew_does_not_go_on_showing_what_it_was(page):
    page.wait_for_function("() => [...document.querySelectorAll('.print img')].every((one) => one.naturalWidth)")
    page.route("**/print/*/shot/*", lambda route: route.fulfill(status=410))
    page.click("#tone")
    page.wait_for_function(
        "() => [...document.querySelectorAll('.print')].every((one) => one.textContent.includes('cannot be read'))"
    )
    under = page.eval_on_selector_all(".print img", "all => all.map((one) => one.style.background)")
    page.unroute("**/print/*/shot/*")
    page.click("#tone")
    assert under == [""] * 3


def test_a_print_shows_what_it_was_until_it_has_come_anew(page):
    before = page.eval_on_selector_all(".print img", "all => all.map((one) => new URL(one.src).pathname)")
    under = page.evaluate(
        "() => { document.getElementById('tone').click();"
        " return [...document.querySelectorAll('.print img')].map((one) => one.style.background); }"
    )
    assert all(path in shown for path, shown in zip(before, under, strict=True))
    page.wait_for_function(
        "() => [...document.querySelectorAll('.print img')].every((one) => one.naturalWidth && !one.style.background)"
    )
    page.click("#tone")


def test_numbers_of_prints_are_never_hidden_by_the_print_below(page):
    place = """([at, gap]) => {
      const [one, other] = document.querySelectorAll(".print");
      const from = one.getBoundingClientRect(), field = one.parentElement.getBoundingClientRect();
      other.style.left = one.style.left;
      other.style.top = `${100 * (from.bottom + gap - field.top) / field.height}%`;
      dispatchEvent(new Event("resize"));
      const called = one.querySelector(".called").getBoundingClientRect();
      return called.bottom <= other.getBoundingClientRect().top + 0.5;
    }"""
    assert [page.evaluate(place, [0, gap]) for gap in (30, 18, 14, 6, 0)] == [True] * 5
    page.click("#tone")  # draws the wall anew
    page.click("#tone")

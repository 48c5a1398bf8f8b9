"""The board for those who cannot see or point: names, contrast, and an audit of every panel in every state it has."""

import shutil
from pathlib import Path

import pytest

from setsolver.usecases.scan import scan
from tests.cli.shoot import BRIEF
from tests.usecases.boards import frame_rows, make_folder, open_board, write_brief
from tests.usecases.test_board_clients import line
from tests.web.browsing import BROWSED, PROVEN, bar_both_folders, revision, running, settled

pytestmark = BROWSED

AXE = Path(__file__).parents[1] / "data" / "axe" / "axe.min.js"
SWAPS = "/does better, proven|at best, with|No other frame/"
ROLES = "[roles]\nwide = [0, 2]\nmedium = [0, 2]\nclose = [0, 2]\n"
WALL = '[wall]\nwidth = 300\nheight = 250\nclear = [{ left = 20, width = 120, height = 80, what = "sofa" }]\n'


def test_reduced_motion_and_names_for_those_who_hear_the_page(tmp_path, open_page):
    with running(open_board(tmp_path)) as address:
        page = open_page(address, reduced_motion="reduce")
        page.click(".print[data-place='1']")
        page.wait_for_selector(PROVEN)
        nameless = page.evaluate(
            """() => [...document.querySelectorAll("button, input, select, a, [role=option], [role=listbox]")]
              .filter((one) => one.offsetParent !== null)
              .filter((one) => !one.getAttribute("aria-label") && !one.textContent.trim())
              .filter((one) => !one.labels?.[0]?.textContent.trim())
              .map((one) => one.outerHTML)"""
        )
        assert nameless == []
        assert page.evaluate("[...document.images].every((one) => one.hasAttribute('alt'))")
        assert page.evaluate("document.querySelectorAll('h1').length") == 1


# Pairs of text on ground: WCAG 2.2, success criterion 1.4.3 (4.5:1).
PROBE = """() => {
  const channel = (v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; };
  const light = (rgb) => 0.2126 * channel(rgb[0]) + 0.7152 * channel(rgb[1]) + 0.0722 * channel(rgb[2]);
  const parts = (text) => text.match(/[\\d.]+/g).map(Number);
  const ground = (node) => {
    for (let at = node; at; at = at.parentElement) {
      const rgb = parts(getComputedStyle(at).backgroundColor);
      if (rgb.length === 3 || rgb[3] === 1) return rgb;
    }
    return [255, 255, 255];
  };
  const poor = [];
  for (const node of document.querySelectorAll("body *")) {
    const own = [...node.childNodes].some((child) => child.nodeType === 3 && child.textContent.trim());
    if (!own || node.offsetParent === null || node.matches(":disabled")) continue;
    const [a, b] = [light(parts(getComputedStyle(node).color)), light(ground(node))];
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (ratio < 4.5) poor.push(`${ratio.toFixed(2)} ${node.outerHTML.slice(0, 90)}`);
  }
  return poor;
}"""


def test_every_word_stands_out_from_its_ground(tmp_path, open_page):
    with running(open_board(tmp_path)) as address:
        page = open_page(address)
        page.click("#ask-sets")
        page.wait_for_selector("#others article")
        page.click(".print[data-place='1']")
        page.wait_for_selector(PROVEN)
        assert page.evaluate(PROBE) == []


@pytest.mark.parametrize("width", [1280, 390])
def test_an_audit_for_those_who_cannot_see_or_point_finds_nothing(tmp_path, open_page, width):
    with running(open_board(tmp_path)) as address:
        page = open_page(address, width, bypass_csp=True)  # the audit is a script of the test's
        page.click("#ask-sets")
        page.wait_for_selector("#others article")
        for part in page.query_selector_all("details"):
            part.evaluate("(one) => { one.open = true; }")
        page.click(".print[data-place='1']")
        page.wait_for_selector(PROVEN)
        page.click("[data-id='about']")
        page.evaluate(AXE.read_text("utf-8"))
        found = page.evaluate("axe.run()")
        assert [(one["id"], one["nodes"][0]["html"]) for one in found["violations"]] == []
        assert len(found["passes"]) > 20
        page.click("[data-id='both-2']")
        page.wait_for_selector("dialog.sides[open] .hangs img")
        audited(page, "two sets, large", least=15)  # the page behind it counts for nothing


def audited(page, state, least=20):
    """Ask the audit, which must find nothing and must have looked."""
    found = page.evaluate("axe.run()")
    assert [(state, one["id"], one["nodes"][0]["html"]) for one in found["violations"]] == []
    assert len(found["passes"]) > least, state
    assert page.evaluate(PROBE) == [], state


@pytest.mark.parametrize("width", [1280, 390])
def test_an_audit_of_every_panel_in_use_finds_nothing(tmp_path, open_page, width):
    """Tried swaps, what one stands for, a framing by hand, ways out of a count, versions, ticks, a large frame."""
    folder = make_folder(tmp_path)
    write_brief(tmp_path, BRIEF.replace("[tone]", f"{ROLES}{WALL}[tone]", 1))
    board = open_board(tmp_path)
    paths = [row["path"] for row in frame_rows(board.frames())]
    for name, ticked in (("Anna", paths[:3]), ("Boris", paths[2:5])):
        board.hear(line(name, ticked, notes={"print 1": "larger"}))
    with running(board) as address:
        page = open_page(address, width, bypass_csp=True)  # the audit is a script of the test's
        page.evaluate(AXE.read_text("utf-8"))
        for part in page.query_selector_all("details"):
            part.evaluate("(one) => { one.open = true; }")
        page.click("#whole")
        page.click("[data-id='prices']")
        page.wait_for_selector(".price")
        now = revision(page)
        page.fill("[data-id='version-name']", "calm")
        page.keyboard.press("Enter")
        settled(page, now)
        page.click("[data-id='compare']")
        page.wait_for_selector("#version-table article .strip img")
        page.select_option("[data-id='filter-sort']", "scene")
        page.wait_for_selector("#sheet .scene")
        audited(page, "versions, ticks, and frames scene by scene")
        for place in (1, 2, 3):
            page.click(f".print[data-place='{place}']")
            page.wait_for_function(f"() => {SWAPS}.test(document.getElementById('swaps').textContent)")
            if page.query_selector("[data-id^='like-']"):
                page.click("[data-id^='like-']")
                page.wait_for_selector(".swaps li.like [data-id^='put-']")
                break
        page.focus(".swaps [data-id^='put-']")
        audited(page, "a swap that is tried")
        page.click("[data-id='crop']")
        page.wait_for_selector("[data-id='crop-edge']")
        audited(page, "framing by hand")
        page.fill("[data-id='rule-size']", "7")
        page.keyboard.press("Enter")
        page.wait_for_selector("[data-id='mend-1']")
        shutil.copy(folder / "evening/0004.jpg", folder / "evening/0009.jpg")
        scan(folder, workers=0)
        page.evaluate("window.dispatchEvent(new Event('focus'))")
        page.wait_for_selector("#rescanned:not([hidden])")
        audited(page, "notices")
        page.click("#read")
        page.wait_for_selector("dialog[open] .plate img")
        audited(page, "one frame, large")
        page.keyboard.press("Escape")
        bar_both_folders(page)
        audited(page, "a clash")

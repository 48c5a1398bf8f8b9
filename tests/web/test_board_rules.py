"""Rules and weights as controls in a real browser, on one board and page for all tests."""

import pytest

from tests.web.browsing import BROWSED, bar_both_folders, hung, on_a_wall, revision, settled, unfold

pytestmark = BROWSED


@pytest.fixture(scope="module")
def board(tmp_path_factory):
    yield from on_a_wall(tmp_path_factory)


def test_each_way_out_of_a_clash_is_a_button(page, board):
    bar_both_folders(page)
    ways = page.eval_on_selector_all("[data-id^='way-']", "all => all.map((one) => one.textContent)")
    assert any(way.startswith("without any of 8 bars") for way in ways)
    now = revision(page)
    page.click(f"[data-id='way-{1 + next(at for at, way in enumerate(ways) if way.startswith('without any'))}']")
    settled(page, now)
    assert len(hung(page)) == 3


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


def test_a_weight_of_small_units_has_a_fine_slider(page, board):
    ends = {}
    for one in board.view()["weights"]:
        slider = page.query_selector(f"[data-id='slider-{one['term']}']")
        ends[one["term"]] = [float(slider.get_attribute(name)) for name in ("max", "step")]
        assert float(slider.input_value()) == pytest.approx(one["points"])  # no weight between two steps
    assert ends["appeal"] == [100, 1]
    small = [one for one in board.view()["weights"] if 0 < one["usual"] < 1]
    assert small
    for one in small:
        assert ends[one["term"]][0] == pytest.approx(4 * one["usual"], rel=0.1)
        assert ends[one["term"]][1] <= one["usual"] / 10

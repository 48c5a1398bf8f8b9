"""The next best sets in a real browser: each is shown as soon as it is known, and what stands there stays."""

import threading

import pytest

from setsolver.errors import BadInput
from setsolver.usecases.board import asked
from tests.usecases.boards import act
from tests.web.browsing import BROWSED, on_a_wall, revision, settled, unfold

pytestmark = BROWSED
LONG = 60


@pytest.fixture(scope="module")
def board(tmp_path_factory):
    yield from on_a_wall(tmp_path_factory)


@pytest.fixture
def held(monkeypatch):
    """Return what lets the next set be found: one each time that it is set."""
    turns, real = {2: threading.Event(), 3: threading.Event()}, asked.answer_of

    def answer(session, most=0):
        assert most not in turns or turns[most].wait(LONG)
        return real(session, most)

    monkeypatch.setattr(asked, "answer_of", answer)
    yield turns
    for turn in turns.values():
        turn.set()


def sets(page):
    return page.eval_on_selector_all("#others article", "all => all.map((one) => one.getAttribute('aria-label'))")


def test_each_is_shown_as_soon_as_it_is_known_and_a_half_written_name_stays(page, board, held):
    unfold(page, "sets")
    page.wait_for_selector("[data-id='name-2']")
    assert sets(page) == ["Set 2"]
    assert page.inner_text("#others [role=status]") == "Looking for one more"
    page.focus("[data-id='name-2']")
    page.keyboard.type("half wr")
    held[2].set()
    page.wait_for_selector("[data-id='name-3']")
    page.keyboard.type("itten")
    assert page.input_value("[data-id='name-2']") == "half written"
    assert sets(page) == ["Set 2", "Set 3"]
    page.click("[data-id='both-3']")
    page.wait_for_selector("dialog.sides[open] .hangs img")
    assert page.inner_text("#sides-name") == "On the wall, and set 3"
    page.keyboard.press("Escape")
    held[3].set()
    page.wait_for_selector("#others [role=status]", state="detached")
    assert sets(page) == [f"Set {one['number']}" for one in board.alternates()["sets"]]
    assert page.input_value("[data-id='name-2']") == "half written"


def test_a_search_that_fails_is_said_below_what_is_there(page, board, monkeypatch):
    real = asked.answer_of

    def fails(session, most=0):
        if most > 1:
            raise BadInput("no more can be sought")
        return real(session, most)

    monkeypatch.setattr(asked, "answer_of", fails)
    unfold(page, "sets")
    now = revision(page)
    act(board, do="weigh", term="appeal", points=41)
    settled(page, now)
    page.wait_for_function("() => document.getElementById('others').textContent.endsWith('no more can be sought')")
    assert sets(page) == ["Set 2"]

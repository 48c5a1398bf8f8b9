"""Each route hands on what its address says, and answers as its kind is; before a board that only writes down."""

import asyncio
import json
from concurrent.futures import ThreadPoolExecutor

import pytest
from starlette.testclient import TestClient

from setsolver.errors import BadInput, FrameRefused, NoSuchFrame, Overtaken
from setsolver.usecases.board.acts import read_act
from setsolver.usecases.board.pictures import SIDES
from setsolver.web import events
from setsolver.web.app import make_app
from setsolver.web.guard import Keys
from tests.usecases.boards import TOKEN

PORT = 8123
SIDE = SIDES[0]


class Board:
    """Answers every question with its name, and writes down what was asked."""

    revision = 7

    def __init__(self):
        self.asked, self.fails = [], None

    def __getattr__(self, name):
        def ask(*given, **more):
            self.asked.append((name, *given, *more.items()))
            if self.fails is not None:
                raise self.fails
            return name.encode() if name.endswith("jpeg") else {"is": name}

        return ask


@pytest.fixture
def board():
    return Board()


@pytest.fixture
def client(board):
    keys = Keys(PORT)
    headers = {"origin": f"http://127.0.0.1:{PORT}", "cookie": f"{keys.cookie_name}={keys.cookie}"}
    return TestClient(make_app(board, keys), base_url=f"http://127.0.0.1:{PORT}", headers=headers)


@pytest.mark.parametrize(
    ("address", "asked"),
    [
        ("/board", ("view",)),
        ("/board?unless=8", ("view",)),
        ("/frames", ("frames", 0)),
        ("/frames?known=123456789", ("frames", 123456789)),  # nine digits: what is longer is no list of ours
        ("/frames?known=1234567890", ("frames", 0)),
        ("/frames?known=-1", ("frames", 0)),
        ("/swaps/k", ("swaps", "k", ("proven", False), ("like", None))),
        ("/swaps/k?proven&like=pot", ("swaps", "k", ("proven", True), ("like", "pot"))),
        ("/sets", ("alternates", None)),
        ("/sets?most=2", ("alternates", 2)),
        ("/sets?most=-2", ("alternates", None)),
        ("/sets?most=1234567890", ("alternates", None)),
        ("/why/k", ("why", "k")),
        ("/ways", ("ways",)),
        ("/earnings", ("earnings",)),
        ("/prices", ("prices",)),
        ("/holds", ("holds",)),
        ("/versions", ("versions",)),
        ("/rescanned", ("rescanned",)),
        ("/mendings/a/b.most?value=123456789", ("mendings", "a/b.most", 123456789)),
    ],
)
def test_a_question_reaches_the_board_as_it_was_asked(client, board, address, asked):
    answer = client.get(address)
    assert (answer.status_code, answer.json()) == (200, {"is": asked[0]})
    assert answer.headers["content-type"] == "application/json"
    assert answer.headers["cache-control"] == "no-store"
    assert board.asked == [asked]


def test_a_document_is_plain_ascii_and_has_numbers_that_json_has(client, board):
    """RFC 8259, section 6: NaN is none; U+2028 ended lines of JavaScript once, and a surrogate is no text."""
    found = {"name": "窯\u2028\udcff"}
    board.view = lambda: found
    answer = client.get("/board")
    assert answer.content == b'{"name":"\\u7aaf\\u2028\\udcff"}'
    found["name"] = float("nan")
    with pytest.raises(ValueError, match="not JSON compliant"):
        client.get("/board")


@pytest.mark.parametrize(
    ("address", "asked"),
    [
        (f"/print/k/corrected/{SIDE}", ("print_jpeg", "k", SIDE, ("corrected", True))),
        (f"/print/k/shot/{SIDE}", ("print_jpeg", "k", SIDE, ("corrected", False))),
        (f"/frame/k/{SIDES[-1]}", ("frame_jpeg", "k", SIDES[-1])),
    ],
)
def test_a_picture_comes_in_the_size_that_was_asked_for_and_may_be_kept(client, board, address, asked):
    answer = client.get(address)
    assert (answer.status_code, answer.content) == (200, asked[0].encode())
    assert answer.headers["content-type"] == "image/jpeg"
    assert answer.headers["cache-control"] == "private, max-age=31536000, immutable"  # a year (RFC 9111, RFC 8246)
    assert board.asked == [asked]


@pytest.mark.parametrize(
    ("address", "status"),
    [
        ("/board?unless=7", 204),
        ("/favicon.ico", 204),
        ("/mendings/k", 404),
        ("/mendings/k?value=x", 404),
        ("/mendings/k?value=-1", 404),
        ("/mendings/k?value=1234567890", 404),
        (f"/print/k/else/{SIDE}", 404),
        (f"/print/k/shot/{SIDE + 1}", 404),
        (f"/frame/k/{SIDES[-1] + 1}", 404),
        ("/page/none.js", 404),
        ("/none", 404),
    ],
)
def test_what_is_nothing_to_ask_never_reaches_the_board(client, board, address, status):
    answer = client.get(address)
    assert answer.status_code == status
    assert answer.text == ("" if status == 204 else "There is nothing here.\n")
    assert board.asked == []


def test_fonts_may_be_kept_and_the_page_s_own_parts_are_asked_for_anew(client):
    font = client.get("/page/SourceSansPro-Semibold.otf")
    assert (font.content[:4], font.headers["content-type"]) == (b"OTTO", "font/otf")  # OpenType 1.9, IANA
    assert "immutable" in font.headers["cache-control"]
    for path, kind in (("/", "text/html"), ("/page/index.html", "text/html"), ("/page/board.js", "text/javascript")):
        headers = client.get(path).headers
        assert (headers["content-type"], headers["cache-control"]) == (f"{kind}; charset=utf-8", "no-store")


def test_acts_and_answers_reach_the_board_and_a_stop_has_no_answer(client, board):
    act = {"do": "weigh", "term": "appeal", "points": 1}
    assert client.post("/act", json=act).json() == {"is": "do"}
    stopped = client.post("/stop", json={"token": TOKEN})
    assert (stopped.status_code, stopped.content) == (204, b"")
    assert client.post("/ticks", json={"lines": "x"}).json() == {"is": "hear"}
    assert [name for name, *_ in board.asked] == ["do", "stop", "hear"]
    assert board.asked[0][1] == read_act(json.dumps(act).encode())
    assert board.asked[1][1] == TOKEN


@pytest.mark.parametrize(
    ("error", "status"),
    [(NoSuchFrame, 404), (FrameRefused, 410), (BadInput, 422), (Overtaken, 204)],
)
def test_errors_have_their_status_and_a_harmless_sentence(client, board, error, status):
    """RFC 9110: 404 not found, 410 gone, 422 unprocessable; none where the page is told of a new set anyway."""
    board.fails = error("jar\x1b.jpg is gone")
    for answer in (client.get("/why/k"), client.post("/stop", json={"token": TOKEN})):
        assert answer.status_code == status
        says = "" if status == 204 else answer.json()["says"]
        assert says.startswith("" if status == 204 else "jar")
        assert "\x1b" not in says


def test_it_is_told_so_as_often_as_the_standard_advises_and_of_a_change_within_what_is_felt_as_at_once():
    """HTML Standard, 9.2.7: a comment every 15 seconds or so; 0.1 s (Miller, AFIPS Fall Joint Conference, 1968)."""
    assert events._ALIVE == 15
    assert events._EVERY <= 0.1


def test_a_page_is_told_at_first_at_each_change_and_now_and_then_that_it_is_still_here(monkeypatch):
    stamps, slept, seen = [0] * 11 + [1] * 6, [], []

    async def sleep(seconds):
        slept.append(seconds)

    async def told():
        stream = events.told_as_it_goes(
            lambda: (stamps[len(slept)],), lambda: {"at": len(slept)}, lambda: len(slept) == 17
        )
        seen.extend([(len(slept), event) async for event in stream])

    monkeypatch.setattr(events, "_EVERY", 0.25)
    monkeypatch.setattr(events, "_ALIVE", 1.0)
    monkeypatch.setattr(events.asyncio, "sleep", sleep)
    with ThreadPoolExecutor(1) as alone:  # a browser of another test may have a loop running on this thread
        alone.submit(asyncio.run, told()).result(60)
    here = ": still here\n\n"  # HTML Standard, 9.2.6: a line that begins with a colon is a comment
    assert seen == [(0, 'data: {"at":0}\n\n'), (4, here), (8, here), (11, 'data: {"at":11}\n\n'), (15, here)]
    assert set(slept) == {0.25}

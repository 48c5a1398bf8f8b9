"""The routes of the board, asked as its page asks."""

import asyncio
import json
import re
from concurrent.futures import ThreadPoolExecutor
from importlib.resources import files
from io import BytesIO
from urllib.parse import quote

import pytest
from PIL import Image
from starlette.testclient import TestClient

from setsolver.usecases.board.acts import read_act
from setsolver.web.app import ASSETS, make_app
from setsolver.web.events import told_as_it_goes
from tests.cli.shoot import BRIEF
from tests.usecases.boards import TOKEN, frame_rows, open_board, write_brief
from tests.web.conftest import PORT

PAGE = files("setsolver.web") / "page"


def act(client, **what):
    return client.post("/act", json=what)


def test_the_page_and_all_its_parts_come_from_here(client):
    assert client.get("/").text.startswith("<!DOCTYPE html>")
    kinds = {name: client.get(f"/page/{name}").headers["content-type"].partition(";")[0] for name in ASSETS}
    assert kinds["board.css"] == "text/css"
    assert {kind for name, kind in kinds.items() if name.endswith(".js")} == {"text/javascript"}
    assert client.get("/page/SourceSansPro-Regular.otf").content[:4] == b"OTTO"  # OpenType 1.9: CFF outlines


def test_every_file_of_the_page_is_served_and_none_is_missing():
    assert sorted(ASSETS) == sorted(file.name for file in PAGE.iterdir() if not file.name.startswith("."))


def test_the_browser_is_told_of_every_module_at_once():
    told = re.findall(r'rel="modulepreload" href="/page/([^"]+)"', (PAGE / "index.html").read_text("utf-8"))
    assert sorted([*told, "board.js", "first.js"]) == sorted(name for name in ASSETS if name.endswith(".js"))


def test_pages_are_told_of_changes_and_jobs_as_they_come(board):
    async def told():
        seen = []
        async for event in told_as_it_goes(board.stamp, board.told, lambda: len(seen) == 2):
            seen.append(json.loads(event.removeprefix("data: ")))
            if len(seen) == 1:
                await asyncio.to_thread(board.do, read_act(b'{"do":"weigh","term":"appeal","points":3}'))
        return seen

    with ThreadPoolExecutor(1) as alone:  # a browser of another test may have a loop running on this thread
        first, second = alone.submit(asyncio.run, told()).result(60)
    assert second["revision"] == first["revision"] + 1
    assert first["finish"] is None


@pytest.mark.parametrize("name", [name for name in ASSETS if name.endswith((".js", ".html"))])
def test_nothing_of_the_page_could_run_what_a_name_says(name):
    text = (PAGE / name).read_text("utf-8")
    assert not re.search(r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|eval\(|new Function|DOMParser", text)
    assert not re.search(r"<script(?![^>]*src=)|<style|\sstyle=|\son[a-z]+=|https?://", text)


def test_rules_of_a_role_with_any_name_are_mended(tmp_path, keys):
    """A role is called what its owner likes, and a slash in a path is one however it is written."""
    name = "pots/bowls? 50%"
    roles = f'[roles]\n"{name}" = {{ count = [0, 3], match = "path:*" }}\n[tone]'
    write_brief(tmp_path, BRIEF.replace("[tone]", roles, 1))
    client = TestClient(make_app(open_board(tmp_path), keys), base_url=f"http://127.0.0.1:{PORT}")
    client.get(f"/?token={keys.token}")
    (key,) = [rule["key"] for rule in client.get("/board").json()["rules"] if rule["key"].endswith(".most")]
    assert name in key
    ways = client.get(f"/mendings/{quote(key, safe='')}?value=2").json()["ways"]
    assert ways[0]["besides"] == {"size": 2}


def test_the_board_is_told_once_a_revision(client):
    first = client.get("/board").json()
    assert client.get(f"/board?unless={first['revision']}").status_code == 204
    key = first["set"]["prints"][0]["frame"]
    after = act(client, do="bar", frame=key).json()
    assert after["revision"] > first["revision"]
    assert client.get(f"/board?unless={first['revision']}").json() == after


def test_prints_have_the_aspect_of_the_brief_and_frames_their_own(client):
    print_ = client.get("/board").json()["set"]["prints"][0]
    answer = client.get(f"/print/{print_['picture']}/corrected/240")
    assert answer.headers["content-type"] == "image/jpeg"
    assert "immutable" in answer.headers["cache-control"]
    picture = Image.open(BytesIO(answer.content))
    assert picture.width / picture.height == pytest.approx(3 / 2, rel=0.02)
    whole = Image.open(BytesIO(client.get(f"/frame/{print_['frame']}/240").content))
    assert whole.size == (240, 160)


def test_a_print_as_shot_differs_from_a_corrected_one(client):
    client.post("/act", json={"do": "weigh", "term": "tone", "points": 0})
    prints = client.get("/board").json()["set"]["prints"]
    moved = [one for one in prints if not one["tone"].startswith("None")]
    for one in moved:
        pair = [client.get(f"/print/{one['picture']}/{how}/240").content for how in ("corrected", "shot")]
        assert pair[0] != pair[1]
    still = [one for one in prints if one["tone"].startswith("None")]
    for one in still:
        pair = [client.get(f"/print/{one['picture']}/{how}/240").content for how in ("corrected", "shot")]
        assert pair[0] == pair[1]
    assert moved or still


def test_swaps_why_sets_and_frames_are_documents(client):
    key = client.get("/board").json()["set"]["prints"][0]["frame"]
    assert client.get(f"/swaps/{key}").json()["proven"] is False
    assert client.get(f"/swaps/{key}?proven").json()["proven"] is True
    assert client.get(f"/why/{key}").json()["in_set"] is True
    assert client.get("/sets").json()["sets"]
    assert len(client.get("/frames").json()["columns"]["frame"]) == 8
    assert client.get("/ways").json()["ways"] == []
    assert client.get("/earnings").json()["earns"][key] == 0
    assert client.get("/prices").json()["prices"]
    assert client.get("/versions").json()["versions"] == []
    assert client.get(f"/framing/{key}?level=1.5").json()["level"] == 1.5
    assert client.get(f"/framing/{key}?level=much").status_code == 422


def test_an_act_is_stopped_only_by_a_page_of_the_board(client, stranger, keys):
    assert client.post("/stop", json={"token": TOKEN}).status_code == 204
    for other in ({}, {"token": "x"}, {"token": TOKEN, "more": 1}, [TOKEN]):
        assert client.post("/stop", json=other).status_code == 422
    stopped = act(client, do="undo", token=TOKEN)
    assert (stopped.status_code, stopped.json()["says"]) == (422, "stopped before it was begun; nothing has changed")
    assert act(client, do="undo", token=TOKEN[::-1]).status_code == 200
    del stranger.headers["origin"]
    assert stranger.post("/stop", json={"token": TOKEN}).status_code == 403
    stranger.headers["origin"] = "http://evil.example"
    assert stranger.post("/stop", json={"token": TOKEN}).status_code == 403


def test_a_page_that_has_a_list_is_sent_only_what_changed(client):
    whole = client.get("/frames").json()
    assert whole["whole"] is True
    same = client.get(f"/frames?known={whole['list']}").json()
    assert same["whole"] is False
    assert same["columns"]["frame"] == []
    for unknown in ("", "x", "-1", "9" * 30, "\u0663"):
        assert len(client.get("/frames", params={"known": unknown}).json()["columns"]["frame"]) == 8


@pytest.mark.parametrize("side", [0, 241, 100_000])
def test_pictures_come_in_the_sizes_of_the_page_only(client, side):
    """Otherwise each size that somebody asks for would be made and kept."""
    print_ = client.get("/board").json()["set"]["prints"][0]
    assert client.get(f"/frame/{print_['frame']}/{side}").status_code == 404
    assert client.get(f"/print/{print_['picture']}/corrected/{side}").status_code == 404


def test_a_frame_that_is_not_there_is_said(client):
    answer = client.get("/why/0123456789abcdef")
    assert answer.status_code == 404
    assert "load the page again" in answer.json()["says"]


def test_a_picture_that_cannot_be_read_any_more_is_said_and_the_board_goes_on(client, tmp_path):
    frame = frame_rows(client.get("/frames").json())[0]
    (tmp_path / "pottery" / frame["folder"] / frame["name"]).write_bytes(b"gone")
    answer = client.get(f"/frame/{frame['frame']}/640")
    assert answer.status_code == 410
    assert frame["name"] in answer.json()["says"]
    assert client.get("/board").status_code == 200


def test_ten_clients_at_once_lose_no_act(client):
    keys = client.get("/frames").json()["columns"]["frame"]
    with ThreadPoolExecutor(10) as pool:
        answers = list(pool.map(lambda n: act(client, do="rate", frame=keys[n % 4], stars=n % 6), range(10)))
    assert {answer.status_code for answer in answers} == {200}
    revisions = sorted(answer.json()["revision"] for answer in answers)
    assert revisions == list(range(revisions[0], revisions[0] + 10))


def test_what_fails_inside_is_said_plainly_and_the_board_goes_on(board, keys, monkeypatch):
    client = TestClient(make_app(board, keys), base_url=f"http://127.0.0.1:{keys.port}", raise_server_exceptions=False)
    client.get(f"/?token={keys.token}")
    with monkeypatch.context() as patched:
        patched.setattr(board, "frames", lambda: 1 // 0)
        answer = client.get("/frames")
    assert answer.status_code == 500
    assert "failed inside" in answer.json()["says"]
    assert "Traceback" not in answer.text
    assert client.get("/frames").status_code == 200

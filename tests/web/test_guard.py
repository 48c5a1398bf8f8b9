"""Attacks on the board: each gets a plain refusal, changes nothing, and the board goes on.

After the OWASP Cross-Site Request Forgery Prevention and HTML5 Security cheat sheets (origin, custom content type,
SameSite) and for names that are bound anew (DNS rebinding): RFC 9110, section 7.2 (Host) and 15.5.20 (421).
"""

import json

import pytest
from starlette.testclient import TestClient

from setsolver.web.app import make_app
from setsolver.web.guard import MOST_BYTES, Keys
from tests.usecases.boards import open_board

ACT = {"do": "weigh", "term": "appeal", "points": 1}
DOCUMENTS = ["/", "/board", "/frames", "/sets", "/ways", "/page/board.js", "/frame/0123456789abcdef/240"]


@pytest.fixture(scope="module")
def board(tmp_path_factory):
    """One board for all attacks, none of which may change it."""
    return open_board(tmp_path_factory.mktemp("attacked"))


@pytest.fixture
def untouched(board):
    """Whatever a test does, the board must be as it was."""
    before = board.view()
    yield
    assert board.view() == before


def test_the_token_is_taken_for_a_cookie_that_scripts_and_other_sites_never_get(stranger, keys):
    answer = stranger.get(f"/?token={keys.token}")
    assert (answer.status_code, answer.headers["location"]) == (303, "/")
    cookie = answer.headers["set-cookie"]
    assert cookie.startswith(f"setsolver-board-{keys.port}=")
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie
    assert "Domain" not in cookie
    assert keys.token not in cookie
    assert stranger.get("/").status_code == 200


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize("path", DOCUMENTS)
def test_without_the_cookie_nothing_is_told(stranger, path):
    answer = stranger.get(path)
    assert answer.status_code == 403
    assert "address that setsolver printed" in answer.text
    assert stranger.post("/act", json=ACT).status_code == 403


@pytest.mark.parametrize(
    "query",
    [
        "token=",
        "token=wrong",
        "token={0}x",
        "token={0}&token={0}",
        "TOKEN={0}",
        "token=%00",
        "token=%ff",
        "&" * 40,
        "a=1&" * 7,
        "a=1&" * 40,
        "token={0}&" + "a=1&" * 40,
    ],
)
def test_a_wrong_token_gives_no_cookie(stranger, keys, query):
    answer = stranger.get(f"/?{query.format(keys.token)}")
    assert answer.status_code == 403
    assert "set-cookie" not in answer.headers


def opened(address):
    return address.partition("/?")[2]


def test_an_address_for_a_program_is_good_once(stranger, keys):
    address = f"/?{opened(keys.address_once())}"
    answer = stranger.get(address)
    assert answer.status_code == 303
    assert keys.cookie not in answer.headers["set-cookie"]
    assert keys.token not in address
    assert stranger.get("/board").status_code == 200


def test_whoever_comes_by_it_again_shuts_out_whoever_came_first(board, keys):
    address = f"/?{opened(keys.address_once())}"
    first, second = (
        TestClient(make_app(board, keys), base_url=f"http://127.0.0.1:{keys.port}", follow_redirects=False)
        for _ in range(2)
    )
    assert first.get(address).status_code == 303
    assert first.get("/board").status_code == 200
    answer = second.get(address)
    assert answer.status_code == 403
    assert "good once" in answer.text
    assert first.get("/board").status_code == 403
    assert second.get(address).status_code == 403
    assert second.get(f"/?token={keys.token}").status_code == 303  # the printed one counts as long as the board runs


@pytest.mark.parametrize("query", ["once=", "once=x", "once={0}&once={0}", "once={0}&token={1}", "token={0}"])
def test_a_wrong_address_gives_no_cookie(stranger, keys, query):
    ticket = opened(keys.address_once()).partition("=")[2]
    answer = stranger.get(f"/?{query.format(ticket, keys.token)}")
    assert answer.status_code == 403
    assert "set-cookie" not in answer.headers


def test_what_a_client_sent_may_be_longer_than_an_act_and_no_more(client):
    long = {"lines": "x" * 100_000}
    assert client.post("/ticks", json=long).status_code == 422
    assert client.post("/ticks", json={"lines": "x" * 1_200_000}).status_code == 413
    assert client.post("/act", json=long).status_code == 413


def test_the_stream_is_for_the_page_alone(stranger):
    assert stranger.get("/events").status_code == 403


def test_the_token_counts_at_the_first_address_only(stranger, keys):
    assert stranger.get(f"/board?token={keys.token}").status_code == 403
    assert stranger.post(f"/act?token={keys.token}", json=ACT).status_code == 403


def test_a_cookie_of_another_start_is_worth_nothing(stranger, keys):
    stranger.cookies.set(keys.cookie_name, Keys(keys.port).cookie)
    assert stranger.get("/board").status_code == 403


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1", "127.0.0.1:80", "localhost", "127.0.0.1:8123.evil.example", "[::1]:8123", ""]
)
def test_another_host_is_refused_even_with_the_cookie(client, host):
    assert client.get("/board", headers={"host": host}).status_code == 421
    assert client.post("/act", json=ACT, headers={"host": host}).status_code == 421


def test_both_names_of_this_machine_are_its_own(client):
    given = {"host": "localhost:8123", "origin": "http://localhost:8123"}
    cookie = "; ".join(f"{name}={value}" for name, value in client.cookies.items())
    assert client.get("/board", headers={**given, "cookie": cookie}).status_code == 200


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize(
    "origin",
    [
        "http://evil.example",
        "null",
        "https://127.0.0.1:8123",
        "http://127.0.0.1",
        "http://127.0.0.1:8124",
        "http://localhost:8123",
        "",
    ],
)
def test_another_origin_is_refused_even_with_the_cookie(client, origin):
    assert client.post("/act", json=ACT, headers={"origin": origin}).status_code == 403
    assert client.get("/board", headers={"origin": origin}).status_code == 403


@pytest.mark.usefixtures("untouched")
def test_an_act_without_an_origin_is_refused(client):
    del client.headers["origin"]
    assert client.get("/board").status_code == 200
    assert client.post("/act", json=ACT).status_code == 403


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize("site", ["cross-site", "same-site", "nonsense"])
def test_a_browser_that_says_it_comes_from_elsewhere_is_refused(client, site):
    assert client.get("/board", headers={"sec-fetch-site": site}).status_code == 403
    assert client.post("/act", json=ACT, headers={"sec-fetch-site": site}).status_code == 403


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECT", "BREW"])
def test_other_methods_are_refused(client, method):
    assert client.request(method, "/act").status_code == 405
    assert client.request(method, "/board").status_code == 405


@pytest.mark.usefixtures("untouched")
def test_documents_take_no_post_and_acts_no_get(client):
    assert client.post("/board", json={}).status_code == 405
    assert client.get("/act").status_code == 405


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize(
    "kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", ""]
)
def test_what_a_form_of_another_site_could_send_is_refused(client, kind):
    answer = client.post("/act", content=json.dumps(ACT), headers={"content-type": kind})
    assert answer.status_code == 415


@pytest.mark.usefixtures("untouched")
def test_a_body_that_is_too_long_is_refused_said_or_not(client):
    json_kind = {"content-type": "application/json"}
    assert client.post("/act", content=b" " * (MOST_BYTES + 1), headers=json_kind).status_code == 413
    parts = (b" " * 1000 for _ in range(100))  # sent in parts, no length is said
    assert client.post("/act", content=parts, headers=json_kind).status_code == 413
    assert client.post("/act", content=b"{}", headers={**json_kind, "content-length": "-1"}).status_code == 413


@pytest.mark.usefixtures("untouched")
def test_an_endless_address_is_refused(client):
    assert client.get("/" + "a" * 3000).status_code == 414
    assert client.get("/?" + "a" * 3000).status_code == 414


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize("content", [b"", b"{", b"[" * 5000, b'{"do":"pin","frame":"../../x"}', b"\xff", b'"undo"'])
def test_nonsense_gets_a_sentence(client, content):
    answer = client.post("/act", content=content, headers={"content-type": "application/json"})
    assert answer.status_code == 422
    assert "nothing that the board can do" in answer.json()["says"]


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize(
    "path",
    [
        "/page/../../pyproject.toml",
        "/page/%2e%2e/app.py",
        "/page/..%2fapp.py",
        "/page//etc/passwd",
        "/page/app.py",
        "/page/BOARD.JS",
        "/frame/..%2f..%2fetc%2fpasswd/240",
        "/frame/morning%2f0000.jpg/240",
        "/frame/0123456789abcdef/241",
        "/frame/0123456789abcdef/-240",
        "/print/0123456789abcdef0123/corrected/99999",
        "/print/0123456789abcdef0123/anything/240",
        "/swaps/..%2fx",
        "/why/%00",
        "/.setsolver/index.db",
        "/docs",
    ],
)
def test_no_path_of_a_file_leads_anywhere(client, path):
    assert client.get(path).status_code == 404


@pytest.mark.parametrize("path", ["/", "/board", "/nothing", "/page/board.css"])
def test_every_answer_carries_the_policy(client, path):
    headers = client.get(path).headers
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "script-src 'self'" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "no-referrer"
    assert headers["cache-control"] == "no-store"


def test_refusals_carry_it_too(stranger):
    assert "default-src 'none'" in stranger.get("/").headers["content-security-policy"]


def test_keys_are_long_new_each_time_and_not_in_words_about_them():
    one, other = Keys(1), Keys(1)
    assert len({one.token, other.token, one.cookie, other.cookie}) == 4
    assert min(map(len, (one.token, one.cookie))) >= 43  # 256 bits in base64
    assert one.token not in repr(one)
    assert one.cookie not in repr(one)


def test_tickets_that_were_given_out_are_not_in_words_about_the_keys(keys):
    address = keys.address_once()
    keys.enter({"once": [address.partition("once=")[2]]})
    keys.address_once()
    assert all(secret not in repr(keys) for ticket in keys._once.items() for secret in ticket if secret)

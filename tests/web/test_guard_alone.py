"""The guard before an application that only tells what reached it: limits at both sides, headers that come twice.

Messages are those of the ASGI specification, version 3 (HTTP and WebSocket, lifespan).
"""

import pytest

from setsolver.web.guard import _MOST_OF_A_FILE, _MOST_URL, MOST_BYTES, Guard, Keys, _body

PORT = 8123
HOST = (b"host", b"127.0.0.1:8123")
OWN = (b"origin", b"http://127.0.0.1:8123")
JSON = (b"content-type", b"application/json")


def run(coroutine):
    """Run what never waits."""
    try:
        coroutine.send(None)
    except StopIteration as ended:
        return ended.value
    raise AssertionError("it waits")


def receiving(*messages):
    """Return what hands on messages, and fails where more is asked for."""
    left = list(messages)

    async def receive():
        assert left, "asked for more than there is"
        return left.pop(0)

    return receive


def parts(*content):
    last = len(content) - 1
    return [{"type": "http.request", "body": part, "more_body": at < last} for at, part in enumerate(content)]


@pytest.fixture
def keys():
    return Keys(PORT)


def asked(keys, *headers, method="GET", path="/board", query=b"", content=(b"",), known=True, kind="http", **more):
    """Return the status, what reached the application (None: nothing did) and the headers of the answer."""
    seen, sent = [], []

    async def app(_scope, receive, send):
        seen.append((await receive())["body"] if kind == "http" else kind)
        seen.append((await receive())["type"] if method == "POST" else "")
        await send({"type": "http.response.start", "status": 200, "headers": []})

    async def send(message):
        sent.append(message)

    cookie = (b"cookie", f"other=1; {keys.cookie_name}={keys.cookie}".encode())
    scope = {"type": kind, "method": method, "path": path, "query_string": query}
    scope |= {"headers": [*headers, *([cookie] if known else [])], **more}
    receive = receiving(*parts(*content), {"type": "http.disconnect"})
    run(Guard(app, keys)(scope, receive, send))
    start = next(
        (message for message in sent if message["type"] == "http.response.start"), {"status": 0, "headers": []}
    )
    assert not seen or seen[1:] == ["http.disconnect" if method == "POST" else ""]
    return start["status"], seen[0] if seen else None, dict(start["headers"])


def test_what_is_let_through_reaches_the_application_whole_and_its_answer_is_sealed(keys):
    for method, content, reached in (
        ("GET", (b"",), b""),
        ("HEAD", (b"",), b""),
        ("POST", (b'{"a', b'":1}'), b'{"a":1}'),
    ):
        status, seen, headers = asked(keys, HOST, OWN, JSON, method=method, content=content)
        assert (status, seen) == (200, reached)
        assert headers[b"cache-control"] == b"no-store"
        assert headers[b"x-content-type-options"] == b"nosniff"


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ((), 421),
        ((HOST, HOST), 421),  # RFC 9112, section 3.2: more than one Host is no request
        ((HOST, OWN, OWN), 403),
        ((HOST, OWN, (b"origin", b"http://evil.example")), 403),
        ((HOST, (b"sec-fetch-site", b"none")), 200),
        ((HOST, (b"sec-fetch-site", b"same-origin")), 200),
        ((HOST, (b"sec-fetch-site", b"")), 403),
    ],
)
def test_headers_that_are_missing_or_come_twice_are_not_taken_for_the_page_s(keys, headers, status):
    assert asked(keys, *headers)[:2] == (status, b"" if status == 200 else None)


def test_without_the_cookie_or_with_another_nothing_reaches_the_application(keys):
    for other in ((), ((b"cookie", f"{keys.cookie_name}=".encode()),), ((b"cookie", b"a\x01=;;"),)):
        for method in ("GET", "POST"):
            assert asked(keys, HOST, OWN, JSON, *other, method=method, known=False)[:2] == (403, None)
    stale = (b"cookie", f"{keys.cookie_name}=x".encode())  # of another start, in a line of its own before the right one
    assert asked(keys, HOST, stale)[0] == 200


@pytest.mark.parametrize("raw", [True, False])
def test_an_address_of_2000_bytes_is_answered_and_one_more_is_not(keys, raw):
    """What counts is what was sent: raw_path, where the server tells it (ASGI has it as optional)."""
    for spare, status in ((0, 200), (1, 414)):
        path = "/" + "a" * (_MOST_URL - 101 + spare)
        more = {"raw_path": path.encode()} if raw else {}
        assert asked(keys, HOST, path="/b" if raw else path, query=b"q" * 100, **more)[0] == status


@pytest.mark.parametrize(("path", "most"), [("/act", MOST_BYTES), ("/ticks", _MOST_OF_A_FILE)])
@pytest.mark.parametrize("said", [True, False])
def test_a_body_of_the_most_bytes_is_read_and_one_more_is_not(keys, path, most, said):
    for spare, status in ((0, 200), (1, 413)):
        content = b"x" * (most + spare)
        length = [(b"content-length", str(len(content)).encode())] if said else []
        found = asked(keys, HOST, OWN, JSON, *length, method="POST", path=path, content=(content[:100], content[100:]))
        assert found[:2] == (status, content if status == 200 else None)


@pytest.mark.parametrize("length", [b"", b"1e3", b"+5", b"-1", b"9" * 16, b"12 "])
def test_a_length_that_is_no_number_is_refused(keys, length):
    assert asked(keys, HOST, OWN, JSON, (b"content-length", length), method="POST")[:2] == (413, None)


def test_a_body_ends_where_its_last_part_or_the_browser_does():
    assert run(_body(receiving(*parts(b"ab", b"cd")), 4)) == b"abcd"
    assert run(_body(receiving({"type": "http.request"}), 4)) == b""
    assert run(_body(receiving(parts(b"ab", b"")[0], {"type": "http.disconnect"}), 4)) == b"ab"
    assert run(_body(receiving(*parts(b"ab", b"cde", b"f")[:2]), 4)) is None  # and no more of it is read


def test_no_websocket_is_accepted_and_the_server_s_own_start_is_let_through(keys):
    assert asked(keys, HOST, kind="websocket")[:2] == (0, None)
    assert asked(keys, kind="lifespan")[:2] == (200, "lifespan")


def test_the_way_in_is_the_first_address_alone_and_says_what_is_wrong(keys):
    token = f"token={keys.token}".encode()
    status, _, headers = asked(keys, HOST, path="/", query=token, known=False)
    assert (status, headers[b"location"]) == (303, b"/")  # RFC 9110, 15.4.4: see other, by GET
    assert headers[b"set-cookie"].startswith(f"{keys.cookie_name}={keys.cookie};".encode())
    assert b"; Path=/;" in headers[b"set-cookie"]
    for more in ({"method": "HEAD", "path": "/"}, {"path": "/board"}):
        assert asked(keys, HOST, query=token, known=False, **more)[0] == 403
    fields = b"&".join(b"a=1" for _ in range(7))
    for query, status in ((fields + b"&" + token, 303), (fields + b"&b=1&" + token, 403)):  # eight fields at most
        assert asked(keys, HOST, path="/", query=query, known=False)[0] == status

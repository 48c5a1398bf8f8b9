"""Who may ask the board, and how: judged before anything else, for every request.

A page of another site that is open in the same browser can send requests here, but can neither read the token nor the
cookie, and says its own name as Origin; a name that leads here by another DNS entry comes with its own Host. Sources:
RFC 6265bis (SameSite), the Fetch Standard (Origin, Sec-Fetch-Site), Content Security Policy Level 3.
"""

from __future__ import annotations

import re
import secrets
from dataclasses import dataclass, field
from http.cookies import CookieError, SimpleCookie
from typing import TYPE_CHECKING
from urllib.parse import parse_qs

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse, RedirectResponse, Response

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

__all__ = ["MOST_BYTES", "Guard", "Keys"]

MOST_BYTES = 16_384
"""Of a request's body; the longest act has some hundred."""
_MOST_OF_A_FILE = 1_100_000
"""Of the body in which a page sends what a client answered."""
_MOST_URL = 2_000
_METHODS = ("GET", "HEAD", "POST")
_SITES = ("same-origin", "none", None)
"""Of Sec-Fetch-Site: this page, a person who typed or opened the address, a program that is no browser."""
_HEADERS = {
    "content-security-policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; connect-src 'self'; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'none'; require-trusted-types-for 'script'"
    ),
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-resource-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
}


@dataclass
class Keys:
    """What opens the board, made anew for each start.

    The token of the first address, which stands on the terminal alone, counts as long as the board runs. An address for
    a program's arguments, which others on this machine may read, is good once: whoever comes by it again shuts out
    whoever came by it first, for one of the two is a stranger (as RFC 9700, section 4.14.2, has it for refresh tokens).
    Each way in gives a cookie of its own.
    """

    port: int
    token: str = field(default_factory=lambda: secrets.token_urlsafe(32), repr=False)
    cookie: str = field(default_factory=lambda: secrets.token_urlsafe(32), repr=False)
    _once: dict[str, str | None] = field(default_factory=dict, repr=False)

    @property
    def cookie_name(self) -> str:
        """Of its own for each port: cookies of one host are shared by its ports."""
        return f"setsolver-board-{self.port}"

    @property
    def hosts(self) -> tuple[str, ...]:
        """Names under which the board answers."""
        return f"127.0.0.1:{self.port}", f"localhost:{self.port}"

    @property
    def address(self) -> str:
        """The first address."""
        return f"http://127.0.0.1:{self.port}/?token={self.token}"

    def address_once(self) -> str:
        """Return an address that is good once."""
        ticket = secrets.token_urlsafe(32)
        self._once[ticket] = ""
        return f"http://127.0.0.1:{self.port}/?once={ticket}"

    def knows(self, cookie: str) -> bool:
        """Tell whether a cookie was given out here, and not taken back."""
        return any(_same(cookie, own) for own in (self.cookie, *self._once.values()) if own)

    def enter(self, given: dict[str, list[str]]) -> str | None:
        """Return a cookie for what a first address gives; None where it gives nothing that counts."""
        tokens, once = given.get("token", []), given.get("once", [])
        if len(tokens) == 1 and not once and _same(tokens[0], self.token):
            return self.cookie
        if len(once) != 1 or tokens:
            return None
        ticket = next((own for own in self._once if _same(once[0], own)), None)
        if ticket is None:
            return None
        self._once[ticket] = secrets.token_urlsafe(32) if self._once[ticket] == "" else None
        return self._once[ticket]


class Guard:
    """Lets through what comes from the board's own page; everything else gets a plain refusal."""

    def __init__(self, app: ASGIApp, keys: Keys) -> None:
        self._app, self._keys = app, keys

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            return  # no WebSocket is ever accepted

        async def sealed(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in _HEADERS.items():
                    headers[name] = value
                headers.setdefault("cache-control", "no-store")
            await send(message)

        refusal = self._refusal(scope)
        if refusal is not None:
            await refusal(scope, receive, sealed)
            return
        body = await _body(receive, _most(scope)) if scope["method"] == "POST" else b""
        if body is None:
            await _refused(413, "This is more than any act of the board has.")(scope, receive, sealed)
            return
        await self._app(scope, _given(body, receive), sealed)

    def _refusal(self, scope: Scope) -> Response | None:
        headers, method = Headers(scope=scope), scope["method"]
        refusal = self._stranger(headers)
        if refusal is not None:
            return refusal
        if method not in _METHODS:
            return _refused(405, "The board knows no such method.")
        if len(scope.get("raw_path") or scope["path"]) + len(scope["query_string"]) > _MOST_URL:
            return _refused(414, "No address of the board is that long.")
        if method == "POST":
            return self._post_refusal(headers, _most(scope))
        return None if self._known(headers) else self._entry(scope)

    def _stranger(self, headers: Headers) -> Response | None:
        """Refuse what another site sends, or what comes under another name."""
        hosts, origins = headers.getlist("host"), headers.getlist("origin")
        if len(hosts) != 1 or hosts[0] not in self._keys.hosts:
            return _refused(421, "The board answers under its own address only.")
        foreign = len(origins) > 1 or any(origin != f"http://{hosts[0]}" for origin in origins)
        return _refused(403, _OWN_PAGE) if foreign or headers.get("sec-fetch-site") not in _SITES else None

    def _post_refusal(self, headers: Headers, most: int) -> Response | None:
        if "origin" not in headers:
            return _refused(403, _OWN_PAGE)
        if not self._known(headers):
            return _refused(403, _WAY_IN)
        if headers.get("content-type", "").partition(";")[0].strip().lower() != "application/json":
            return _refused(415, "The board reads JSON only.")
        length = headers.get("content-length", "0")
        if not re.fullmatch(r"[0-9]{1,15}", length) or int(length) > most:
            return _refused(413, "This is more than any act of the board has.")
        return None

    def _known(self, headers: Headers) -> bool:
        for line in headers.getlist("cookie"):
            try:
                found = SimpleCookie(line).get(self._keys.cookie_name)
            except CookieError:
                continue
            if found is not None and self._keys.knows(found.value):
                return True
        return False

    def _entry(self, scope: Scope) -> Response:
        """Take the token for a cookie, and send the browser on, so that the token stands in no address of the page."""
        query = _query(scope["query_string"]) if scope["path"] == "/" else {}
        cookie = self._keys.enter(query) if scope["method"] == "GET" else None
        if cookie is None:
            return _refused(403, _USED if "once" in query else _WAY_IN)
        response = RedirectResponse("/", status_code=303)
        response.set_cookie(self._keys.cookie_name, cookie, httponly=True, samesite="strict", path="/")
        return response


_OWN_PAGE = "The board answers its own page only."
_USED = (
    "This address is good once, and was used: whoever came by it is shut out. Open the board by the address that "
    "setsolver printed when it started."
)
_WAY_IN = "Open the board by the address that setsolver printed when it started; it holds the key."


def _query(given: bytes) -> dict[str, list[str]]:
    """Return the fields of an address; none where there are more than any address of the board has."""
    try:
        return parse_qs(given.decode("latin-1"), max_num_fields=8)
    except ValueError:
        return {}


def _same(given: str, right: str) -> bool:
    return secrets.compare_digest(given.encode("utf-8", "surrogatepass"), right.encode())


def _refused(status: int, says: str) -> Response:
    return PlainTextResponse(f"{says}\n", status_code=status)


def _most(scope: Scope) -> int:
    """Return how many bytes the body of a request may have."""
    return _MOST_OF_A_FILE if scope["path"] == "/ticks" else MOST_BYTES


async def _body(receive: Receive, most: int) -> bytes | None:
    """Return the body, None where it is too long; never more than that is kept."""
    body = bytearray()
    while True:
        message = await receive()
        if message["type"] != "http.request":
            return bytes(body)
        body += message.get("body", b"")
        if len(body) > most:
            return None
        if not message.get("more_body", False):
            return bytes(body)


def _given(body: bytes, further: Receive) -> Receive:
    """Return what hands a body on that was read already, and then what comes: that the browser has gone."""
    sent = False

    async def receive() -> Message:
        nonlocal sent
        if sent:
            return await further()
        sent = True
        return {"type": "http.request", "body": body, "more_body": False}

    return receive

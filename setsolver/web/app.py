"""The board's routes: documents, pictures by key, and acts. Nothing here takes a path of a file from a request."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import wraps
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.responses import PlainTextResponse, Response, StreamingResponse
from starlette.routing import Route

from setsolver.domain.brief import CropWish
from setsolver.errors import FrameRefused, NoSuchFrame, Overtaken, SetsolverError
from setsolver.output.view.words import inert
from setsolver.usecases.board.acts import read_act, read_framing, read_lines, read_stop
from setsolver.usecases.board.pictures import SIDES
from setsolver.web.events import told_as_it_goes
from setsolver.web.guard import Guard, Keys

if TYPE_CHECKING:
    from collections.abc import Awaitable

    from starlette.requests import Request

    from setsolver.usecases.board import Board

__all__ = ["ASSETS", "make_app"]

_KINDS = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
}
ASSETS = (
    "index.html",
    "board.css",
    "board.js",
    "clients.js",
    "ask.js",
    "build.js",
    "wall.js",
    "frame.js",
    "swaps.js",
    "weights.js",
    "sets.js",
    "sides.js",
    "tray.js",
    "crop.js",
    "filters.js",
    "finish.js",
    "first.js",
    "frames.js",
    "rating.js",
    "read.js",
    "rules.js",
    "sections.js",
    "versions.js",
)
_FONTS = ("SourceSansPro-Regular.otf", "SourceSansPro-Semibold.otf")
_DIGITS = 10
_FOR_EVER = {"cache-control": "private, max-age=31536000, immutable"}
"""For pictures: their key changes with what they show."""


class Page:
    """Answers from one board. Each answer is worked out in a thread, so that pictures come while a set is sought."""

    def __init__(self, board: Board) -> None:
        self._board = board
        page, fonts = files("setsolver.web") / "page", files("setsolver.output") / "assets" / "fonts"
        self._assets = {name: (page / name).read_bytes() for name in ASSETS}
        self._fonts = {name: (fonts / name).read_bytes() for name in _FONTS}

    def index(self, _request: Request) -> Response:
        """Return the page."""
        return Response(self._assets["index.html"], headers={"content-type": _KINDS[".html"]})

    def asset(self, request: Request) -> Response:
        """Return a part of the page that comes with setsolver, of those that were read at the start."""
        name = request.path_params["name"]
        if name in self._fonts:
            return Response(self._fonts[name], media_type="font/otf", headers=_FOR_EVER)
        if name not in self._assets:
            raise HTTPException(404)
        return Response(self._assets[name], headers={"content-type": _KINDS[f".{name.rpartition('.')[2]}"]})

    def nothing(self, _request: Request) -> Response:
        """Answer browsers, which ask for an icon by themselves."""
        return Response(status_code=204)

    def board(self, request: Request) -> Response:
        """Return the board, or 204 where the page has this revision already."""
        if request.query_params.get("unless") == str(self._board.revision):
            return Response(status_code=204)
        return _json(self._board.view())

    def frames(self, request: Request) -> Response:
        """Return every frame, or those that differ from a list that the page has."""
        known = request.query_params.get("known", "0")
        return _json(self._board.frames(int(known) if known.isdecimal() and len(known) < _DIGITS else 0))

    def framing(self, request: Request) -> Response:
        """Return what a print would be if it were framed as the query says."""
        given = {name: request.query_params[name] for name in CropWish.model_fields if name in request.query_params}
        return _json(self._board.framing(request.path_params["key"], read_framing(given)))

    def swaps(self, request: Request) -> Response:
        """Return the swaps for a frame's place."""
        given = request.query_params
        return _json(self._board.swaps(request.path_params["key"], proven="proven" in given, like=given.get("like")))

    def alternates(self, request: Request) -> Response:
        """Return the next best sets, all of them or so many."""
        most = request.query_params.get("most", "")
        return _json(self._board.alternates(int(most) if most.isdecimal() and len(most) < _DIGITS else None))

    def why(self, request: Request) -> Response:
        """Return why a frame is in, or what it would cost."""
        return _json(self._board.why(request.path_params["key"]))

    def earnings(self, _request: Request) -> Response:
        """Return what each frame would earn."""
        return _json(self._board.earnings())

    def prices(self, _request: Request) -> Response:
        """Return what each weight costs."""
        return _json(self._board.prices())

    def holds(self, _request: Request) -> Response:
        """Return what holds the set back."""
        return _json(self._board.holds())

    def versions(self, _request: Request) -> Response:
        """Return the versions that were kept."""
        return _json(self._board.versions())

    def ways(self, _request: Request) -> Response:
        """Return the ways out of a clash."""
        return _json(self._board.ways())

    def rescanned(self, _request: Request) -> Response:
        """Return what another scan of the catalog changed."""
        return _json(self._board.rescanned())

    def mendings(self, request: Request) -> Response:
        """Return by which other count one that contradicts the brief would hold."""
        value = request.query_params.get("value", "")
        if not value.isdecimal() or len(value) >= _DIGITS:
            raise HTTPException(404)
        return _json(self._board.mendings(request.path_params["key"], int(value)))

    def print(self, request: Request) -> Response:
        """Return a print as the set makes it, or as shot."""
        corrected = {"corrected": True, "shot": False}.get(request.path_params["how"])
        if corrected is None:
            raise HTTPException(404)
        return _jpeg(self._board.print_jpeg(request.path_params["key"], _side(request), corrected=corrected))

    def frame(self, request: Request) -> Response:
        """Return a whole frame."""
        return _jpeg(self._board.frame_jpeg(request.path_params["key"], _side(request)))

    def act(self, content: bytes) -> Response:
        """Do what the page asks for."""
        return _json(self._board.do(read_act(content)))

    def stop(self, content: bytes) -> Response:
        """Stop an act."""
        self._board.stop(read_stop(content))
        return Response(status_code=204)

    def ticks(self, content: bytes) -> Response:
        """Read what clients answered."""
        return _json(self._board.hear(read_lines(content)))


def make_app(board: Board, keys: Keys, closing: Callable[[], bool] = lambda: False) -> Starlette:
    """Return the application of one board, with its guard before everything. closing : tells streams to end."""
    page = Page(board)

    async def ticks(request: Request) -> Response:
        return await run_in_threadpool(_told(page.ticks), await request.body())

    async def events(_request: Request) -> Response:
        stream = told_as_it_goes(board.stamp, board.told, closing)
        return StreamingResponse(stream, media_type="text/event-stream")

    async def stop(request: Request) -> Response:
        content = await request.body()
        return _told(page.stop)(content)  # waits for nobody

    async def act(request: Request) -> Response:
        return await run_in_threadpool(_told(page.act), await request.body())

    asked: dict[str, Callable[[Request], Response]] = {
        "/": page.index,
        "/page/{name}": page.asset,
        "/favicon.ico": page.nothing,
        "/board": page.board,
        "/frames": page.frames,
        "/swaps/{key}": page.swaps,
        "/sets": page.alternates,
        "/why/{key}": page.why,
        "/ways": page.ways,
        "/earnings": page.earnings,
        "/prices": page.prices,
        "/holds": page.holds,
        "/versions": page.versions,
        "/rescanned": page.rescanned,
        "/mendings/{key:path}": page.mendings,
        "/framing/{key}": page.framing,
        "/print/{key}/{how}/{side:int}": page.print,
        "/frame/{key}/{side:int}": page.frame,
    }
    routes = [Route(path, _told(answer), methods=["GET"]) for path, answer in asked.items()]
    return Starlette(
        routes=[
            *routes,
            Route("/events", events),
            Route("/act", act, methods=["POST"]),
            Route("/stop", stop, methods=["POST"]),
            Route("/ticks", ticks, methods=["POST"]),
        ],
        middleware=[Middleware(Guard, keys=keys)],
        exception_handlers={HTTPException: _plain, Exception: _failed},
    )


def _told(answer: Callable[[Any], Response]) -> Callable[[Any], Response]:
    """Turn errors of the tree into their sentence, for the page to show."""

    @wraps(answer)
    def wrapped(given: Any) -> Response:
        try:
            return answer(given)
        except Overtaken:  # the page is told of the new set anyway, and asks of that one
            return Response(status_code=204)
        except NoSuchFrame as error:
            return _json({"says": inert(str(error))}, 404)
        except FrameRefused as error:
            return _json({"says": inert(str(error))}, 410)
        except SetsolverError as error:
            return _json({"says": inert(str(error))}, 422)

    return wrapped


def _plain(_request: Request, error: Exception) -> Response | Awaitable[Response]:
    status = error.status_code if isinstance(error, HTTPException) else 500
    return PlainTextResponse("There is nothing here.\n", status_code=status)


def _failed(_request: Request, _error: Exception) -> Response:
    return _json({"says": "This failed inside setsolver; what was done before is kept. The terminal says more."}, 500)


def _side(request: Request) -> int:
    side: int = request.path_params["side"]
    if side not in SIDES:
        raise HTTPException(404)
    return side


def _json(document: dict[str, Any], status: int = 200) -> Response:
    content = json.dumps(document, ensure_ascii=True, allow_nan=False, separators=(",", ":"))
    return Response(content, status_code=status, media_type="application/json")


def _jpeg(content: bytes) -> Response:
    return Response(content, media_type="image/jpeg", headers=_FOR_EVER)

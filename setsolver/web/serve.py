"""Serves a board on this machine only, until it is stopped."""

from __future__ import annotations

import socket
import threading
from collections.abc import Callable
from typing import TYPE_CHECKING

import uvicorn

from setsolver.errors import BadInput
from setsolver.interrupts import strike_again
from setsolver.web.app import make_app
from setsolver.web.guard import Keys

if TYPE_CHECKING:
    from setsolver.usecases.board import Board

__all__ = ["listen", "make_server", "serve"]

LOOPBACK = "127.0.0.1"


def listen(port: int | None) -> socket.socket:
    """Return a socket on loopback. port : None = any that is free.

    Raises
    ------
    BadInput
        Where the port is taken, or may not be used.
    """
    sock = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    sock.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        sock.bind((LOOPBACK, port or 0))
        sock.listen(128)
    except OSError as error:
        sock.close()
        raise BadInput(
            f"port {port} cannot be used on {LOOPBACK} ({error.strerror}); name another --port, or leave it out"
        ) from error
    return sock


def make_server(board: Board, keys: Keys) -> uvicorn.Server:
    """Return a server of one board; when it is told to end, it ends streams, too."""
    config = uvicorn.Config(
        lambda: make_app(board, keys, lambda: server.should_exit),
        factory=True,
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        ws="none",
        lifespan="off",
        timeout_graceful_shutdown=3,
    )
    server = uvicorn.Server(config)
    return server


def serve(board: Board, sock: socket.socket, ready: Callable[[Keys], None]) -> None:
    """Serve a board until SIGINT or SIGTERM, or not after one. ready : told the keys, once it answers."""
    keys = Keys(sock.getsockname()[1])
    strike_again()
    ready(keys)  # the socket listens already: whoever comes now waits a moment
    warming = threading.Thread(target=board.warm_pictures, name="warm")
    warming.start()
    try:
        make_server(board, keys).run(sockets=[sock])
    finally:
        board.close()
        warming.join()  # a thread that is left while Python ends may abort it

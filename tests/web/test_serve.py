"""The server: on this machine only, deaf to what requests say of their own way, closed whatever ends it."""

import socket
import threading

import pytest

from setsolver.errors import BadInput
from setsolver.web import serve as module
from setsolver.web.guard import Keys


class Board:
    """What a server asks of a board, written down."""

    def __init__(self):
        self.told, self.closed = [], threading.Event()

    def warm_pictures(self):
        """Warm until the board is closed: as long as it runs, a server answers."""
        assert self.closed.wait(10)
        self.told.append("warmed")

    def close(self):
        """End."""
        self.told.append("closed")
        self.closed.set()


@pytest.mark.parametrize("struck", [False, True])
def test_a_board_is_told_of_its_port_served_and_closed_however_it_ends(monkeypatch, struck):
    board, keys = Board(), []

    class Server:
        def run(self, sockets):
            board.told.append(sockets)
            if struck:
                raise KeyboardInterrupt

    monkeypatch.setattr(module, "strike_again", lambda: board.told.append("strikes"))
    monkeypatch.setattr(module, "make_server", lambda given, own: (given, own) == (board, keys[0]) and Server())
    with module.listen(None) as sock:
        if struck:
            with pytest.raises(KeyboardInterrupt):
                module.serve(board, sock, keys.append)
        else:
            module.serve(board, sock, keys.append)
        assert keys[0].port == sock.getsockname()[1]
        assert board.told == ["strikes", [sock], "closed", "warmed"]
    assert "warm" not in {thread.name for thread in threading.enumerate()}


def test_a_socket_listens_on_loopback_alone_and_its_port_is_free_at_once_for_the_next():
    with module.listen(None) as sock:
        host, port = sock.getsockname()
        assert host == "127.0.0.1"
        assert sock.getsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR) != 0  # POSIX: no wait for connections that end
        with socket.create_connection((host, port), timeout=5):
            pass
        with pytest.raises(BadInput, match=rf"port {port} cannot be used on 127\.0\.0\.1 \(.+\); name another --port"):
            module.listen(port)
    with module.listen(port) as sock:
        assert sock.getsockname() == ("127.0.0.1", port)


def test_a_server_takes_no_word_of_a_request_for_where_it_comes_from_and_says_none_of_itself():
    config = module.make_server(None, Keys(1)).config
    assert not config.proxy_headers  # X-Forwarded-For and the like are of use behind a proxy only
    assert not config.server_header
    assert not config.access_log  # addresses hold keys
    assert (config.ws, config.lifespan, config.timeout_graceful_shutdown) == ("none", "off", 3)


def test_streams_are_told_to_end_when_the_server_is(monkeypatch):
    monkeypatch.setattr(module, "make_app", lambda board, keys, closing: (board, keys, closing))
    keys = Keys(1)
    server = module.make_server("the board", keys)
    board, given, closing = server.config.app()
    assert (board, given, closing()) == ("the board", keys, False)
    server.should_exit = True
    assert closing()

"""A board behind its guard, asked as a browser on this machine would ask."""

import pytest
from starlette.testclient import TestClient

from setsolver.web.app import make_app
from setsolver.web.guard import Keys
from tests.usecases.boards import open_board

PORT = 8123


@pytest.fixture
def keys():
    return Keys(PORT)


@pytest.fixture
def board(tmp_path):
    return open_board(tmp_path)


@pytest.fixture
def stranger(board, keys):
    """A client that has shown no token yet."""
    return TestClient(make_app(board, keys), base_url=f"http://127.0.0.1:{PORT}", follow_redirects=False)


@pytest.fixture
def client(stranger, keys):
    """A client that came by the first address."""
    assert stranger.get(f"/?token={keys.token}").status_code == 303
    stranger.headers["origin"] = f"http://127.0.0.1:{PORT}"
    return stranger

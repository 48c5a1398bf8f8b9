"""``setsolver board``: it says where it is, refuses what it cannot use, and a kill loses nothing."""

import json
import re
import signal
import socket
import subprocess
import sys
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace

import httpx2
import pytest

from setsolver.cli.board import command
from setsolver.errors import BadBrief, BadInput
from setsolver.web.guard import Keys
from setsolver.web.serve import listen
from tests.usecases.boards import frame_rows, make_folder, write_brief


def run(*arguments):
    return command.main([str(part) for part in arguments], standalone_mode=False)


def test_a_port_that_is_taken_is_said_before_anything_is_measured(tmp_path):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(BadInput, match=rf"port {port} cannot be used .*another --port"):
            run(tmp_path, "--port", port, "--no-open")
    assert list(tmp_path.iterdir()) == []


def test_it_listens_on_this_machine_only():
    with listen(None) as sock:
        assert sock.getsockname()[0] == "127.0.0.1"


def test_a_brief_that_is_none_and_a_folder_that_is_none_are_said(tmp_path):
    with pytest.raises(BadBrief, match="no-such-brief"):
        run(tmp_path, "--brief", "no-such-brief", "--no-open")
    with pytest.raises(BadInput, match="does not exist"):
        run(tmp_path / "nowhere", "--no-open")


@pytest.mark.parametrize(("asked", "opened"), [("--open", 1), ("--no-open", 0)])
def test_the_browser_is_opened_where_it_is_wanted_by_an_address_that_is_good_once(
    tmp_path, monkeypatch, capsys, asked, opened
):
    """Others on this machine may read the arguments of programs: the key of the whole run is not among them."""
    launched = []
    monkeypatch.setattr("webbrowser.get", object)
    monkeypatch.setattr("click.launch", lambda address: launched.append(address) or 0)
    monkeypatch.setattr("setsolver.web.serve.serve", lambda board, _sock, ready: (ready(Keys(8123)), board.close()))
    words = ("--brief", write_brief(tmp_path), asked)
    assert run(make_folder(tmp_path), *words, *(() if opened else ("--json",))) == 0
    told = capsys.readouterr().out
    address = re.search(r"http://127\.0\.0\.1:8123/\?token=[\w-]{40,}", told)[0]
    if opened:
        assert told.startswith(f"the board: {address}\nkept in ")
    else:
        assert json.loads(told) == {"format": "setsolver/board-address", "version": 1, "address": address}
    assert len(launched) == opened
    assert all(re.fullmatch(r"http://127\.0\.0\.1:8123/\?once=\S{40,}", address) for address in launched)


@pytest.mark.parametrize(
    ("words", "terminal", "opened"),
    [((), True, 1), ((), False, 0), (("--json",), True, 0), (("--json",), False, 0), (("--no-open",), True, 0)],
)
def test_unasked_the_browser_is_opened_where_somebody_sits_at_a_terminal(
    tmp_path, monkeypatch, words, terminal, opened
):
    launched = []
    monkeypatch.setattr("webbrowser.get", object)
    monkeypatch.setattr("click.launch", lambda address: launched.append(address) or 0)
    monkeypatch.setattr("setsolver.web.serve.serve", lambda board, _sock, ready: (ready(Keys(8123)), board.close()))
    monkeypatch.setattr("setsolver.usecases.remeasure.prepare", lambda: None)
    monkeypatch.setattr("setsolver.usecases.board.Board", lambda *_, **__: SimpleNamespace(**STANDING))
    monkeypatch.setattr("setsolver.cli.measured.measured", lambda *_: None)
    monkeypatch.setattr(sys.stdout, "isatty", lambda: terminal, raising=False)
    assert run(tmp_path, "--brief", write_brief(tmp_path), *words) == 0
    assert len(launched) == opened


STANDING = {"close": lambda: None, "kept": SimpleNamespace(brief_file=Path("pottery") / "board.toml")}
"""A board that has nothing to do."""


def without_browser(monkeypatch, tmp_path):
    monkeypatch.setenv("PATH", str(tmp_path))  # where there is no program at all
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "BROWSER"):
        monkeypatch.delenv(name, raising=False)
    for name in ("_browsers", "_tryorder"):  # what was found of this machine's browsers before
        monkeypatch.setattr(f"webbrowser.{name}", {} if name == "_browsers" else None)


def without_a_way(monkeypatch, _tmp_path):
    monkeypatch.setattr("webbrowser.get", object)
    monkeypatch.setattr("click.launch", lambda _: 1)


@pytest.mark.parametrize("missing", [without_browser, without_a_way])
def test_where_there_is_no_browser_the_address_is_there_and_the_board_goes_on(tmp_path, monkeypatch, capsys, missing):
    folder, brief, served = make_folder(tmp_path), write_brief(tmp_path), []
    missing(monkeypatch, tmp_path)
    monkeypatch.setattr(
        "setsolver.web.serve.serve",
        lambda board, _sock, ready: (ready(Keys(8123)), served.append(board.view()["set"]), board.close()),
    )
    assert run(folder, "--brief", brief, "--open") == 0
    told = capsys.readouterr()
    assert "http://127.0.0.1:8123/?token=" in told.out
    assert "no browser can be opened here; open the address in one of this machine yourself" in told.err
    assert served[0] is not None


def test_a_port_that_is_taken_ends_the_program_in_a_sentence(tmp_path):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        words = [sys.executable, "-m", "setsolver", "board", str(tmp_path), "--port", str(taken.getsockname()[1])]
        ended = subprocess.run([*words, "--no-open"], capture_output=True, text=True, timeout=120, check=False)
    assert ended.returncode == 2
    assert "cannot be used on 127.0.0.1" in ended.stderr
    assert "Traceback" not in ended.stderr


@contextmanager
def served(folder, brief):
    words = [sys.executable, "-m", "setsolver", "board", str(folder), "--brief", str(brief), "--no-open", "--json"]
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        try:
            text = "".join(iter(process.stdout.readline, "}\n")) + "}"
            yield process, json.loads(text)["address"]
        finally:
            process.kill()


@contextmanager
def client_at(address):
    where = address.partition("/?")[0]
    with httpx2.Client(base_url=where, headers={"origin": where}, timeout=120, trust_env=False) as client:
        assert client.get(address).status_code == 303
        yield client


@pytest.mark.slow
def test_what_was_done_survives_a_kill_and_ctrl_c_ends_it_well(tmp_path):
    folder, brief = make_folder(tmp_path), write_brief(tmp_path)
    with served(folder, brief) as (process, address), client_at(address) as client:
        key = client.get("/board").json()["set"]["prints"][0]["frame"]
        client.post("/act", json={"do": "rate", "frame": key, "stars": 5})
        before = client.post("/act", json={"do": "bar", "frame": key}).json()
        process.send_signal(signal.SIGKILL)
        process.wait()
    with served(folder, brief) as (process, address), client_at(address) as client:
        after = client.get("/board").json()
        assert after["barred"] == [key]
        assert after["set"]["prints"] == before["set"]["prints"]
        stars = {row["frame"]: row["stars"] for row in frame_rows(client.get("/frames").json())}
        assert stars[key] == 5
        process.send_signal(signal.SIGINT)
        assert process.wait(60) == 0
        assert "everything is kept" in process.stderr.read()

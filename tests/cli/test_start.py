"""The first moments of a command: Ctrl-C while libraries load is told as ever, by a code and without a traceback."""

import builtins
import signal

import pytest

from setsolver.__main__ import main
from setsolver.interrupts import remembered


@pytest.fixture(autouse=True)
def python_s_own_handler():
    """Let SIGINT raise KeyboardInterrupt, however the tests were started: shells start background jobs without it."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


def test_ctrl_c_while_the_command_line_itself_loads_ends_with_130(monkeypatch, capsys):
    real = builtins.__import__

    def struck(name, *rest, **more):
        if name == "setsolver.cli.main":
            signal.raise_signal(signal.SIGINT)
        return real(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", struck)
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code == 130  # 128 plus SIGINT, as shells report it (POSIX)
    assert capsys.readouterr().err == "setsolver: stopped\n"


def struck_then(error, *, caused):
    """Press Ctrl-C, and let a library make an error of it."""
    with remembered():
        try:
            signal.raise_signal(signal.SIGINT)
        except KeyboardInterrupt as stopped:
            struck = stopped
        raise error from struck if caused else None


@pytest.mark.parametrize("caused", [True, False])
def test_ctrl_c_that_a_library_turns_into_an_import_error_is_a_ctrl_c(caused):
    """Extension modules say "initialization failed" where Ctrl-C struck while they load (pybind11; seen with scipy)."""
    with pytest.raises(KeyboardInterrupt):
        struck_then(ImportError("initialization failed"), caused=caused)


def test_an_import_error_without_ctrl_c_is_told_as_it_is():
    with pytest.raises(ImportError, match="no such library"), remembered():
        raise ImportError("no such library")


def test_another_error_that_ctrl_c_caused_is_a_ctrl_c_and_one_that_it_did_not_cause_is_not():
    with pytest.raises(KeyboardInterrupt):
        struck_then(RuntimeError("callback failed"), caused=True)
    with pytest.raises(RuntimeError, match="later"):
        struck_then(RuntimeError("later"), caused=False)

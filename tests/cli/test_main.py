"""The command group: every verb answers --help with an example; errors become one sentence and an exit code."""

import os
import signal
import subprocess
import sys

import pytest
from click.testing import CliRunner

from setsolver import __version__
from setsolver.cli import main as module
from setsolver.cli.main import VERBS, cli, main
from setsolver.errors import BadInput, TooFewFrames

VERB_WITHOUT_OPTIONS = "no-such-verb"


@pytest.mark.parametrize("verb", VERBS)
def test_every_verb_helps_with_an_example(verb):
    result = CliRunner().invoke(cli, [verb, "--help"])
    assert result.exit_code == 0
    assert f"setsolver {verb}" in result.output


def test_the_group_lists_every_verb_and_the_exit_codes():
    result = CliRunner().invoke(cli, ["--help"])
    assert all(verb in result.output for verb in VERBS)
    assert "Exit codes" in result.output


@pytest.mark.parametrize("words", [["--help"], ["scan", "--help"]])
def test_help_waits_for_no_engine(words):
    code = "import sys; from setsolver.cli.main import cli; cli(sys.argv[1:], standalone_mode=False); print('|', "
    code += "*{name.split('.')[0] for name in sys.modules})"
    run = subprocess.run([sys.executable, "-c", code, *words], capture_output=True, text=True, check=True)
    loaded = set(run.stdout.rpartition("|")[2].split())
    assert "click" in loaded
    assert not loaded & {"cv2", "imagehash", "numba", "ortools", "scipy", "sklearn"}


def test_the_version_is_the_package_s():
    result = CliRunner().invoke(cli, ["--version"])
    assert __version__ in result.output


@pytest.fixture(autouse=True)
def ctrl_c_as_before():
    """Undo what the end of a command does to Ctrl-C; there, the process ends with it."""
    before = signal.getsignal(signal.SIGINT)
    yield
    signal.signal(signal.SIGINT, before)


def run_main(monkeypatch, raised):
    def explode(**_):
        raise raised

    monkeypatch.setattr(module.cli, "main", explode)
    with pytest.raises(SystemExit) as stopped:
        main()
    return stopped.value.code


@pytest.mark.parametrize(
    ("raised", "code"),
    [(BadInput("no such folder"), 2), (TooFewFrames("too few"), 1), (KeyboardInterrupt(), 130), (BrokenPipeError(), 0)],
)
def test_errors_end_in_their_exit_code(monkeypatch, raised, code):
    with open(os.devnull, "w", encoding="utf-8") as nowhere:  # noqa: PTH123 - a name, not a path
        monkeypatch.setattr("sys.stderr", nowhere)  # main closes it where the reader went away
        assert run_main(monkeypatch, raised) == code


def test_a_second_ctrl_c_does_not_disturb_the_end(monkeypatch, capsys):
    run_main(monkeypatch, KeyboardInterrupt())
    signal.raise_signal(signal.SIGINT)
    assert capsys.readouterr().err == "setsolver: stopped; what was finished is kept\n"


def test_an_error_is_one_sentence_without_traceback(monkeypatch, capsys):
    run_main(monkeypatch, BadInput("lake is not a folder; name a folder of photographs"))
    assert capsys.readouterr().err == "setsolver: lake is not a folder; name a folder of photographs\n"


@pytest.mark.parametrize("arguments", [[VERB_WITHOUT_OPTIONS], ["scan"], ["suggest", "x", "--alternates", "-1"]])
def test_bad_use_exits_with_two(arguments):
    done = subprocess.run([sys.executable, "-m", "setsolver", *arguments], capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


def test_the_list_of_verbs_cuts_no_sentence():
    shown = CliRunner().invoke(cli, ["--help"], terminal_width=80).output.partition("Commands:")[2]
    assert len(shown.strip().splitlines()) == len(VERBS)
    assert "..." not in shown

"""The command group: every verb answers --help with an example; errors become one sentence and an exit code."""

import os
import signal
import subprocess
import sys

import pytest
from click.testing import CliRunner

from setsolver import __version__
from setsolver.cli import main as module
from setsolver.cli.main import cli, main, verbs
from setsolver.errors import BadInput, TooFewFrames

VERB_WITHOUT_OPTIONS = "no-such-verb"


@pytest.mark.parametrize("verb", verbs())
def test_every_verb_helps_with_an_example(verb):
    result = CliRunner().invoke(cli, [verb, "--help"])
    assert result.exit_code == 0
    assert f"setsolver {verb}" in result.output


@pytest.mark.parametrize("verb", verbs())
def test_every_default_is_told_by_the_help(verb):
    for option in cli.get_command(None, verb).params:
        counts = isinstance(option.default, int | float | str) and not option.is_flag
        if counts and (option.default or option.name == "seed"):
            assert option.show_default or "[default: " in option.help, option.name


def test_the_group_lists_every_verb_and_the_exit_codes():
    result = CliRunner().invoke(cli, ["--help"])
    assert all(verb in result.output for verb in verbs())
    assert "Exit codes" in result.output


def test_a_file_that_exports_a_command_is_a_verb_and_another_is_none(monkeypatch, tmp_path):
    (tmp_path / "count_bowls.py").write_text(
        "import click\n@click.command('count_bowls', short_help='Count bowls.')\ndef command():\n    print(9)\n"
    )
    (tmp_path / "clay.py").write_text("WORDS = 'helps a verb'\n")
    monkeypatch.setattr(module.package, "__path__", [*module.package.__path__, str(tmp_path)])
    monkeypatch.delitem(sys.modules, "setsolver.cli.count_bowls", raising=False)
    module.verbs.cache_clear()
    try:
        assert verbs()[-1] == "count_bowls"
        assert "Count bowls." in CliRunner().invoke(cli, ["--help"]).output
        assert CliRunner().invoke(cli, ["count_bowls"]).output == "9\n"
        assert "No such command 'clay'" in CliRunner().invoke(cli, ["clay"]).output
    finally:
        module.verbs.cache_clear()


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
    """Undo what the end of a command does to Ctrl-C; there, the process ends with it.

    Before, SIGINT raises KeyboardInterrupt, however the tests were started: shells start background jobs without it.
    """
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
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
        for stream in ("sys.stdout", "sys.stderr"):
            monkeypatch.setattr(stream, nowhere)  # main gives them up where the reader went away
        assert run_main(monkeypatch, raised) == code


@pytest.mark.parametrize(
    ("raised", "code", "says"),
    [
        (MemoryError(), 2, "not enough memory; close other programs, or give fewer --workers"),
        (OSError(28, "No space left on device"), 2, "the system reports 'No space left on device'; mend that"),
        (OSError(5, "Input/output error", "a.jpg"), 2, "the system reports 'Input/output error' (a.jpg); mend that"),
        (OSError("odd"), 2, "the system reports OSError('odd'); mend that"),
    ],
)
def test_what_the_system_refuses_is_one_sentence_with_the_way_out(monkeypatch, capsys, raised, code, says):
    given_up = []
    monkeypatch.setattr(module, "give_up", given_up.append)
    assert run_main(monkeypatch, raised) == code
    assert capsys.readouterr().err.startswith(f"setsolver: {says}")
    assert len(given_up) == isinstance(raised, OSError)  # it may be stdout that cannot be written


@pytest.mark.parametrize(("returned", "code"), [(None, 0), (0, 0), (1, 1), (2, 2), ("words", 0)])
def test_what_a_command_returns_is_the_exit_code_of_the_process(monkeypatch, returned, code):
    monkeypatch.setattr(module.cli, "main", lambda **_: returned)
    with pytest.raises(SystemExit) as stopped:
        main()
    assert stopped.value.code == code


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
    assert len(shown.strip().splitlines()) == len(verbs())
    assert "..." not in shown

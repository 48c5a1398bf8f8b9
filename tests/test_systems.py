"""What other systems lack or do otherwise, pretended here: macOS and Windows were read about, not run on."""

import ast
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from setsolver import interrupts, writing
from setsolver.errors import BadInput
from setsolver.usecases import guards

PACKAGE = Path(__file__).parents[1] / "setsolver"
ONLY_POSIX = {"fcntl", "resource", "pwd", "grp", "termios", "tty", "pty", "posix", "syslog", "crypt"}
"""Modules that Windows lacks (Python's library reference, "Unix-specific services")."""
NOT_EVERYWHERE = {
    "os": {
        "fork",
        "getuid",
        "geteuid",
        "getgid",
        "killpg",
        "mkfifo",
        "setsid",
        "sched_getaffinity",
        "statvfs",
        "chown",
    },
    "signal": {
        "SIGKILL",
        "SIGHUP",
        "SIGPROF",
        "SIGALRM",
        "SIGUSR1",
        "SIGCHLD",
        "setitimer",
        "pthread_sigmask",
        "alarm",
    },
}
GUARDED = {
    ("machine.py", "sched_getaffinity"),
    ("interrupts.py", "pthread_sigmask"),
    ("usecases/guards.py", "SIGPROF"),
    ("usecases/guards.py", "setitimer"),
}
"""Where the code asks first whether the system has it; the tests below take it away."""


def parsed():
    for file in sorted(PACKAGE.rglob("*.py")):
        yield file.relative_to(PACKAGE).as_posix(), ast.parse(file.read_text(encoding="utf-8"))


def test_modules_that_only_posix_has_are_imported_where_their_lack_is_caught():
    for name, tree in parsed():
        caught = {node for one in ast.walk(tree) if isinstance(one, ast.Try) for node in ast.walk(one)}
        for node in ast.walk(tree):
            if isinstance(node, ast.Import | ast.ImportFrom):
                modules = {a.name for a in node.names} if isinstance(node, ast.Import) else {node.module}
                assert not modules & ONLY_POSIX or node in caught, name


def test_names_that_some_systems_lack_are_asked_for_first():
    found = {
        (name, node.attr)
        for name, tree in parsed()
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name)
        if node.attr in NOT_EVERYWHERE.get(node.value.id, ())
    }
    assert found == GUARDED


def test_texts_are_never_opened_in_the_encoding_of_the_place():
    """Windows' is a code page (PEP 597); every text is opened as UTF-8 or another encoding by name."""
    for name, tree in parsed():
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
                if node.func.attr == "read_text":
                    assert node.args or any(k.arg == "encoding" for k in node.keywords), (name, node.lineno)
                if node.func.attr == "write_text":
                    assert len(node.args) > 1 or any(k.arg == "encoding" for k in node.keywords), (name, node.lineno)


@pytest.fixture(params=["no locks", "no hard links"])
def poorer(request, monkeypatch):
    """Return a system that lacks something: locks of files (Windows), or hard links (FAT)."""
    if request.param == "no locks":
        monkeypatch.setattr(writing.parts, "fcntl", None)
    else:

        def refuse(*_, **__):
            raise OSError(1, "Operation not permitted")

        monkeypatch.setattr(os, "link", refuse)


@pytest.mark.usefixtures("poorer")
def test_files_and_folders_are_written_whole_without_locks_and_links(tmp_path):
    writing.write_new(tmp_path / "a.txt", b"one")
    with pytest.raises(BadInput, match="exists already and is not overwritten"):
        writing.write_new(tmp_path / "a.txt", b"two")
    writing.write_folder(tmp_path / "set", {"b.txt": b"three"})
    assert (tmp_path / "a.txt").read_bytes() + (tmp_path / "set" / "b.txt").read_bytes() == b"onethree"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.txt", "set"]


def test_a_file_that_another_program_holds_open_stays_and_is_named(tmp_path, monkeypatch):
    """Windows gives no new name over an open file (MoveFileEx, ERROR_SHARING_VIOLATION: Python's PermissionError)."""
    path = tmp_path / "brief.toml"
    writing.write_own(path, b"one", ours=lambda _: True)

    def held(*_, **__):
        raise PermissionError(13, "The process cannot access the file because it is being used by another process")

    monkeypatch.setattr(Path, "replace", held)
    with pytest.raises(BadInput, match=r"cannot write .*brief\.toml: The process cannot access"):
        writing.write_own(path, b"two", ours=lambda _: True)
    assert path.read_bytes() == b"one"
    assert [one.name for one in tmp_path.iterdir()] == ["brief.toml"]


def test_a_name_that_is_taken_in_another_case_is_taken(tmp_path, monkeypatch):
    """As NTFS and APFS are by default: a name is there in whatever case it is asked for."""
    (tmp_path / "Prints.toml").write_bytes(b"an original")
    there = os.path.lexists
    fold = {str(path).casefold() for path in tmp_path.iterdir()}
    monkeypatch.setattr(os.path, "lexists", lambda path: there(path) or str(path).casefold() in fold)
    with pytest.raises(BadInput, match="exists already and is not overwritten"):
        writing.refuse_taken(tmp_path / "prints.toml")


def test_without_timers_masks_and_limits_work_is_done_all_the_same(monkeypatch):
    monkeypatch.setattr(guards, "OUT_OF_TIME", None)
    monkeypatch.setattr(guards, "resource", None)
    monkeypatch.delattr(signal, "pthread_sigmask", raising=False)
    guards.limit_memory()
    with guards.timed(0.001), interrupts.deaf_children():
        assert sum(range(1000)) == 499_500


SPAWNED = """
import multiprocessing, sys
multiprocessing.set_start_method("spawn", force=True)
from pathlib import Path
from setsolver.usecases.scan import scan
from tests.catalog.fakes import measurer
report = scan(Path(sys.argv[1]), factory=measurer, workers=2)
print(report.frames, len(report.refused))
"""


def test_workers_that_are_started_anew_measure_without_a_guard_in_the_script(tmp_path, shot):
    for number in range(3):
        shot(tmp_path / "pottery" / f"pot-{number}.png", number)
    script = tmp_path / "script.py"
    script.write_text(SPAWNED, encoding="utf-8")
    words = [sys.executable, str(script), str(tmp_path / "pottery")]
    env = os.environ | {"PYTHONPATH": os.pathsep.join((str(PACKAGE.parent), os.environ.get("PYTHONPATH", "")))}
    done = subprocess.run(words, capture_output=True, text=True, check=False, env=env)
    assert done.stdout.split() == ["3", "0"], done.stderr


@pytest.fixture
def shot():
    """Return what writes a small picture."""
    import numpy as np  # noqa: PLC0415 - only here
    from PIL import Image  # noqa: PLC0415

    def write(path, number):
        path.parent.mkdir(exist_ok=True)
        Image.fromarray(np.full((40, 60, 3), 40 + 60 * number, np.uint8)).save(path)

    return write


@pytest.mark.parametrize("encoding", ["cp437", "cp1252", "ascii", "utf-8"])
def test_every_console_shows_what_it_can(encoding):
    env = os.environ | {"PYTHONIOENCODING": encoding}
    words = [sys.executable, "-m", "setsolver", "brief", "check", "żółw-窯.toml"]
    done = subprocess.run(words, capture_output=True, check=False, env=env)
    assert done.returncode == 2
    said = done.stderr.decode("utf-8" if encoding == "utf-8" else "latin-1")  # the file's name is said as its bytes are
    assert "Traceback" not in said
    assert said.startswith("setsolver: ")
    assert said.count("\n") == 1


@pytest.mark.parametrize(("shell", "words", "said"), [
    ("bash", {"COMP_WORDS": "setsolver sug", "COMP_CWORD": "1"}, "plain,suggest"),
    ("zsh", {"COMP_WORDS": "setsolver suggest --alt", "COMP_CWORD": "2"}, "--alternates"),
    ("fish", {"COMP_WORDS": "fin", "COMP_CWORD": "fin"}, "plain,finish"),
])  # fmt: skip
def test_shells_complete_verbs_and_options(shell, words, said):
    script = "import sys; sys.argv = ['setsolver']; from setsolver.cli.main import main; main()"
    env = os.environ | words | {"_SETSOLVER_COMPLETE": f"{shell}_complete"}
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, env=env)
    assert said in done.stdout

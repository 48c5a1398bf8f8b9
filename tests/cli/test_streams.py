"""Nothing that a file or a document says steers the terminal, and what cannot be printed ends in a sentence."""

import os
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.cli.streams import inert

BAD = "kiln\x1b[2J\x1b]0;owned\x07\u202e.jpg"


@given(st.text())
def test_only_text_lines_and_tabs_are_left_and_harmless_text_is_as_it_was(text):
    shown = inert(text)
    assert all(c.isprintable() or c in "\n\t" for c in shown)
    assert inert(shown) == shown
    if text.isprintable():
        assert shown == text


def test_escapes_name_what_they_stand_for():
    assert inert(BAD) == r"kiln\x1b[2J\x1b]0;owned\x07\u202e.jpg"
    assert inert(f"żółć\n\t{BAD}") == "żółć\n\t" + inert(BAD)  # only what steers, whatever stands beside it


def setsolver(*arguments, **options):
    given = {"capture_output": True} | options
    return subprocess.run([sys.executable, "-m", "setsolver", *map(str, arguments)], check=False, **given)


@pytest.mark.parametrize("arguments", [("scan", f"/nowhere/{BAD}"), ("brief", "check", BAD), ("why", BAD, BAD)])
def test_errors_are_harmless_whatever_they_quote(arguments):
    done = setsolver(*arguments)
    assert done.returncode == 2
    assert b"\x1b" not in done.stdout + done.stderr
    assert b"\x07" not in done.stdout + done.stderr
    assert rb"\x07" in done.stderr  # in a pipe, click takes whole codes out before


def test_a_brief_with_codes_in_it_is_shown_without_them(tmp_path):
    (tmp_path / "b.toml").write_text(f'# {BAD}\nname = "b"\nsize = 3\n', encoding="utf-8")
    done = setsolver("brief", "show", tmp_path / "b.toml")
    assert (done.returncode, b"\x1b" in done.stdout) == (0, False)
    assert done.stdout.splitlines()[1:] == [b'name = "b"', b"size = 3"]


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="this system has no device that is always full")  # noqa: PTH110
@pytest.mark.parametrize("arguments", [("--help",), ("brief", "list"), ("brief", "show", "--schema")])
def test_a_full_disk_behind_stdout_is_one_sentence(arguments):
    with open("/dev/full", "w", encoding="utf-8") as full:  # noqa: PTH123 - a device
        done = setsolver(*arguments, stdout=full, stderr=subprocess.PIPE, capture_output=False)
    assert done.returncode == 2
    assert done.stderr.decode().splitlines() == [
        "setsolver: the system reports 'No space left on device'; mend that and try again"
    ]


@pytest.mark.skipif(os.name != "posix", reason="needs a shell with pipes")
@pytest.mark.parametrize("reader", ["head -1", "true"])
def test_a_reader_that_goes_away_is_no_answer_of_ours(reader):
    script = f"{sys.executable} -m setsolver brief show --schema | {reader}; echo ${{PIPESTATUS[0]}}"
    done = subprocess.run(["bash", "-c", script], capture_output=True, text=True, check=False)
    assert done.stderr == ""
    assert done.stdout.splitlines()[-1] == "0"


def test_letters_that_the_terminal_lacks_stand_as_escapes(tmp_path):
    (tmp_path / "b.toml").write_text('# żółć\nname = "b"\nsize = 3\n', encoding="utf-8")
    done = setsolver("brief", "show", tmp_path / "b.toml", env=os.environ | {"PYTHONIOENCODING": "latin-1"})
    assert done.returncode == 0
    assert done.stdout.startswith(rb"# \u017c" + b"\xf3")

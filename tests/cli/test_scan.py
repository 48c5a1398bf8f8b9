"""``setsolver scan`` on real files with the real measuring: text, JSON, exit codes, a pipe and a terminal."""

import json
import subprocess
import sys
from io import StringIO

import pytest
from click.testing import CliRunner
from rich.console import Console

from setsolver.cli import progress
from setsolver.cli.main import cli
from setsolver.errors import BadInput
from tests.catalog.folders import close_folder
from tests.catalog.pictures import exif, save, scene


@pytest.fixture
def folder(tmp_path):
    for number in range(2):
        save(
            tmp_path / f"jar-{number}.jpg",
            scene(seed=5 * number),
            exif=exif(own={0x9003: f"2026:05:02 09:1{number}:00"}),
        )
    (tmp_path / "new\nline.jpg").write_bytes(b"no picture")
    return tmp_path


def run(*arguments, code=0):
    found = CliRunner().invoke(cli, [str(argument) for argument in arguments], standalone_mode=False)
    if found.exception is not None:
        raise found.exception
    assert found.return_value == code
    return found


def test_text(folder):
    first = run("scan", folder, "--workers", 0).stdout
    assert "2 frames (2 new, 0 changed, 0 unchanged, 0 removed)" in first
    assert "1 could not be measured:\n  new\\nline.jpg: its content is no picture" in first
    assert "(0 new, 0 changed, 2 unchanged, 0 removed)" in run("scan", folder).stdout
    assert "(0 new, 2 changed, 0 unchanged, 0 removed)" in run("scan", folder, "--again", "--workers", 0).stdout


def test_pictures_that_are_not_read_and_folders_that_are_closed(folder, monkeypatch):
    run("scan", folder, "--workers", 0)
    for name in ("a.gif", "b.gif", "c.bmp", "d.txt"):
        (folder / name).write_bytes(b"x")
    text = run("scan", folder).stdout
    assert "2 .gif files: not a photograph format that is read here" in text
    assert "1 .bmp file: not a photograph format" in text
    assert ".txt" not in text
    document = json.loads(run("scan", folder, "--json").stdout)
    assert [(kind["ending"], kind["files"]) for kind in document["unread"]] == [("bmp", 1), ("gif", 2)]
    assert document["unseen"] == 0


def test_frames_in_closed_folders_are_said(folder, monkeypatch):
    save(folder / "closed" / "c.jpg", scene())
    run("scan", folder, "--workers", 0)
    close_folder(monkeypatch, "closed")
    text = run("scan", folder).stdout
    assert "3 frames (0 new, 0 changed, 2 unchanged, 0 removed, 1 not seen this time and kept as they were)" in text


def test_json(folder):
    document = json.loads(run("scan", folder, "--workers", 0, "--json").stdout)
    assert (document["format"], document["version"]) == ("setsolver/scan", 1)
    assert [document[name] for name in ("frames", "new", "changed", "unchanged", "removed")] == [2, 2, 0, 0, 0]
    assert [out["path"] for out in document["refused"]] == ["new\nline.jpg"]
    assert document["remarks"] == []


def test_an_empty_folder_is_bad_input_with_the_way_out(tmp_path):
    found = run("scan", tmp_path, code=2)
    assert "no photographs in" in found.stderr
    assert "JPEG, PNG, TIFF, WebP, HEIC or RAW" in found.stderr


def test_a_folder_without_one_readable_file(tmp_path):
    (tmp_path / "text.jpg").write_bytes(b"text")
    found = run("scan", tmp_path, "--workers", 0, code=2)
    assert "text.jpg: its content is no picture" in found.stdout
    assert "could be read as a photograph" in found.stderr


def test_no_folder(tmp_path):
    with pytest.raises(BadInput, match="does not exist"):
        run("scan", tmp_path / "missing")


@pytest.mark.slow
def test_in_a_pipe_with_worker_processes_nothing_else_is_printed(folder):
    done = subprocess.run(
        [sys.executable, "-m", "setsolver", "scan", str(folder), "--json", "--workers", "2"],
        capture_output=True, check=False, timeout=300,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, b"")
    assert json.loads(done.stdout)["new"] == 2


def test_no_bar_in_a_pipe():
    with progress.scanning() as tell:
        assert tell is None
    with progress.working("solving") as tell:
        assert tell is None


def test_a_bar_on_a_terminal_shows_count_rate_and_time_left(monkeypatch):
    out = StringIO()
    terminal = Console(file=out, force_terminal=True, width=120)
    monkeypatch.setattr(progress, "Console", lambda **_: terminal)
    with progress.scanning() as tell:
        tell("measuring", 0, 0)
        for done in range(5):
            tell("measuring", done, 10)
        tell("grouping", 10, 10)
    assert out.getvalue().endswith(2 * "\x1b[1A\x1b[2K")  # both lines are taken away (ECMA-48: CUU, EL)
    with progress.working("solving") as tell:
        tell(12.345, 13.0)
    shown = out.getvalue()
    assert "measuring" in shown
    assert "4/10" in shown
    assert "grouping" in shown
    assert "/s" in shown


def test_a_fast_scan_says_what_it_left_and_the_next_one_fills_in(tmp_path):
    save(tmp_path / "jar.jpg", scene())
    fast = run("scan", tmp_path, "--workers", 0, "--fast").stdout
    assert "1 new" in fast
    assert "1 frame was measured quickly: content and appeal are left for a scan without --fast" in fast
    assert "1 unchanged" in run("scan", tmp_path, "--workers", 0, "--fast").stdout
    full = run("scan", tmp_path, "--workers", 0).stdout
    assert "1 changed" in full
    assert "quickly" not in full


@pytest.fixture
def two_cameras(tmp_path):
    for number, camera in enumerate(("Clay One", "Clay Two")):
        tags = exif(own={0x9003: f"2026:05:02 09:1{number}:00"}, camera=camera)
        save(tmp_path / f"jar-{number}.jpg", scene(seed=5 * number), exif=tags)
    save(tmp_path / "IMG_20240513_142233.jpg", scene(seed=7))
    save(tmp_path / "IMG-20240513-WA0007.jpg", scene(seed=8))
    return tmp_path


def times(folder):
    document = json.loads(run("frames", folder, "--json").stdout)
    return {frame["path"]: (frame["time"], frame["time_from"]) for frame in document["frames"]}


def test_times_from_names_and_clocks_are_said_and_corrected(two_cameras):
    text = run("scan", two_cameras, "--workers", 0).stdout
    assert "2 frames have their time from the name of the file, 1 of these the day alone" in text
    assert times(two_cameras) == {
        "IMG-20240513-WA0007.jpg": ("2024-05-13", "day in file name"),
        "IMG_20240513_142233.jpg": ("2024-05-13T14:22:33", "file name"),
        "jar-0.jpg": ("2026-05-02T09:10:00", "metadata"),
        "jar-1.jpg": ("2026-05-02T09:11:00", "metadata"),
    }
    said = ("--clock", "Hillside Clay Two=+1h30m", "--clock", "unknown=none")
    text = run("scan", two_cameras, *said).stdout
    assert "times of 'Hillside Clay Two' are moved by +1h30m, as you said" in text
    assert "times of 'unknown' are left out, as you said" in text
    assert times(two_cameras)["jar-1.jpg"] == ("2026-05-02T10:41:00", "metadata, clock +1h30m")
    assert times(two_cameras)["IMG_20240513_142233.jpg"] == (None, None)
    assert "are moved by +1h30m" in run("scan", two_cameras).stdout  # kept
    run("scan", two_cameras, "--clock", "Hillside Clay Two=measured", "--clock", "unknown=measured")
    assert times(two_cameras)["jar-1.jpg"] == ("2026-05-02T09:11:00", "metadata")


def test_a_clock_of_no_camera_names_those_there_are(two_cameras):
    with pytest.raises(
        BadInput, match="by a camera 'Clay'; cameras here: 'Hillside Clay One', 'Hillside Clay Two', 'unknown'"
    ):
        run("scan", two_cameras, "--workers", 0, "--clock", "Clay=+1h")


@pytest.mark.parametrize(
    "said", ["Hillside Clay Two", "=+1h", "Hillside Clay Two=1h", "Hillside Clay Two=", "Hillside Clay Two=+1x"]
)
def test_a_clock_that_cannot_be_set_so_is_said_before_anything_is_measured(two_cameras, said):
    with pytest.raises(BadInput, match="sets no clock; write"):
        run("scan", two_cameras, "--clock", said)
    assert not (two_cameras / ".setsolver" / "index.db").exists()

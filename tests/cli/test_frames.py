"""``setsolver frames``: the table as text, CSV and JSON, and the user's corrections."""

import csv
import io
import json

import pytest

from setsolver.cli.frames import _FOLDED_AT, _HEADS, _SHOWN, _fitting
from setsolver.errors import BadInput, NoFrames, NoSuchFrame
from tests.catalog.pictures import exif, save, scene
from tests.catalog.test_metadata import keywords
from tests.catalog.test_xmp import packet
from tests.cli.test_scan import run


@pytest.fixture
def folder(tmp_path):
    save(tmp_path / "jar.jpg", scene(), exif=exif(own={0x9003: "2026:05:02 09:10:00"}))
    save(tmp_path / "kiln" / "fire.jpg", scene(seed=9))
    (tmp_path / "text.jpg").write_bytes(b"text")
    return tmp_path


def frames(folder, *options):
    return run("frames", folder, "--workers", 0, *options).stdout


def test_table(folder):
    shown = frames(folder)
    assert shown.splitlines()[0].split()[:3] == ["path", "time", "scale"]
    assert "jar.jpg" in shown
    assert "2026-05-02 09:10:00" in shown
    assert "kiln/fire.jpg" in shown
    assert "not measured: text.jpg: its content is no picture" in shown


def test_json(folder):
    document = json.loads(frames(folder, "--json"))
    assert (document["format"], document["version"]) == ("setsolver/frames", 1)
    assert [frame["path"] for frame in document["frames"]] == ["jar.jpg", "kiln/fire.jpg"]
    assert [out["path"] for out in document["refused"]] == ["text.jpg"]
    assert document["frames"][0]["time"] == "2026-05-02T09:10:00"
    assert document["frames"][1]["time"] is None


def test_csv(folder):
    rows = list(csv.DictReader(io.StringIO(frames(folder, "--csv"))))
    assert [row["path"] for row in rows] == ["jar.jpg", "kiln/fire.jpg"]
    assert rows[0]["width"] == "480"
    assert 0 <= float(rows[0]["quality"]) <= 1


def test_corrections_win_at_once_and_can_be_taken_back(folder):
    options = ("--set", "jar.jpg", "scale=close", "--set", "kiln/fire.jpg", "scale=wide", "--json")
    said = {frame["path"]: (frame["said"], frame["scale"]) for frame in json.loads(frames(folder, *options))["frames"]}
    assert said["jar.jpg"] == ("close", {"wide": 0, "medium": 0, "close": 1})
    assert said["kiln/fire.jpg"] == ("wide", {"wide": 1, "medium": 0, "close": 0})
    assert "close (said)" in frames(folder)
    again = json.loads(frames(folder, "--set", "jar.jpg", "scale=measured", "--json"))
    assert [frame["said"] for frame in again["frames"]] == [None, "wide"]


def test_corrections_say_what_they_changed_here_and_elsewhere(folder):
    text = frames(folder, "--set", "jar.jpg", "scale=close", "--set", "jar.jpg", "stars=5")
    assert "jar.jpg: scale " in text
    assert "-> close (said), stars 5" in text
    assert "other frame" in text
    again = frames(folder, "--set", "jar.jpg", "scale=close")
    assert "jar.jpg: as it was\nno other frame changed" in again
    told = run("frames", folder, "--workers", 0, "--set", "jar.jpg", "scale=measured", "--json")
    assert "jar.jpg: scale close ->" in told.stderr
    assert json.loads(told.stdout)["format"] == "setsolver/frames"


def test_a_frame_that_is_turned_is_measured_as_turned(folder):
    (before, _) = json.loads(frames(folder, "--json"))["frames"]
    (after, other) = json.loads(frames(folder, "--set", "jar.jpg", "turn=90", "--json"))["frames"]
    assert (before["turn"], after["turn"], other["turn"]) == (None, 90, None)
    assert after["size"] == before["size"][::-1]
    (back, _) = json.loads(frames(folder, "--set", "jar.jpg", "turn=measured", "--json"))["frames"]
    assert back == before


def test_a_frame_that_is_said_to_stand_upright_stays_as_it_is(folder):
    (before, _) = json.loads(frames(folder, "--json"))["frames"]
    (after, _) = json.loads(frames(folder, "--set", "jar.jpg", "turn=0", "--json"))["frames"]
    assert after == before | {"turn": 0}


@pytest.mark.parametrize("wish", ["scale=huge", "scale", "tone=dark", "close", "turn=45", "turn"])
def test_a_wish_that_corrects_nothing(folder, wish):
    with pytest.raises(BadInput, match=r"write scale=wide, scale=medium, scale=close.*turn=90"):
        frames(folder, "--set", "jar.jpg", wish)


def test_corrections_are_kept_all_or_none(folder):
    with pytest.raises(NoSuchFrame):
        frames(folder, "--set", "jar.jpg", "scale=close", "--set", "jra.jpg", "scale=close")
    assert {frame["said"] for frame in json.loads(frames(folder, "--json"))["frames"]} == {None}


@pytest.mark.parametrize("again", ["jar.jpg", "./jar.jpg"])
def test_two_scales_for_one_frame(folder, again):
    with pytest.raises(BadInput, match=r"two values of scale|say one"):
        frames(folder, "--set", "jar.jpg", "scale=close", "--set", again, "scale=wide")


@pytest.mark.parametrize(
    "way", ["kiln/fire.jpg", "./kiln/fire.jpg", "{folder}/kiln/fire.jpg", "../{name}/kiln/fire.jpg"]
)
def test_a_frame_is_found_by_any_path_to_it(folder, way):
    way = way.format(folder=folder, name=folder.name)
    said = json.loads(frames(folder, "--set", way, "scale=close", "--json"))["frames"]
    assert [frame["said"] for frame in said] == [None, "close"]


def test_a_frame_is_found_from_the_current_folder(folder, monkeypatch):
    monkeypatch.chdir(folder / "kiln")
    said = json.loads(frames("..", "--set", "fire.jpg", "scale=close", "--json"))["frames"]
    assert [frame["said"] for frame in said] == [None, "close"]


def test_taking_back_says_that_a_keyword_stays(folder):
    (folder / "jar.xmp").write_bytes(packet(keywords("scale:close")))
    shown = run("frames", folder, "--workers", 0, "--set", "jar.jpg", "scale=measured")
    assert shown.stderr.endswith("jar.jpg stays close: a keyword in its metadata says so\n")


def test_an_unknown_frame_names_the_nearest(folder):
    with pytest.raises(NoSuchFrame, match=r"did you mean 'jar\.jpg'"):
        frames(folder, "--set", "jra.jpg", "scale=close")


def test_csv_and_json_at_once(folder):
    with pytest.raises(BadInput, match="give one of them"):
        frames(folder, "--csv", "--json")


def test_nothing_readable(tmp_path):
    (tmp_path / "text.jpg").write_bytes(b"text")
    with pytest.raises(NoFrames, match="could be read as a photograph"):
        frames(tmp_path)


def test_only_long_names_and_notes_are_folded():
    """By hand: a path of 60 letters takes 36, and 2 between; a scale of 60 takes them all."""
    row = dict.fromkeys(_SHOWN, "1") | {"path": "p" * 60, "time": "t" * 19}
    assert _fitting([row], 36 + 2 + 19 + 2 + len("scale"))[:3] == ("path", "time", "scale")
    assert _fitting([row | {"scale": "s" * 60}], 36 + 2 + 19 + 2 + 59) == ("path", "time")
    assert _fitting([row | {"scale": "s" * 60}], 36 + 2 + 19 + 2 + 60) == ("path", "time", "scale")


@pytest.mark.parametrize("room", [20, 60, 80, 120, 240, 1000])
def test_columns_fit_the_window_or_are_left_out_whole(room):
    rows = [dict.fromkeys(_SHOWN, "12345") | {"path": "kiln/" * 12 + "a.jpg", "time": "2026-05-02T09:10:11"}]
    names = _fitting(rows, room)
    assert names == _SHOWN[: len(names)]
    wide = {"path": _FOLDED_AT, "time": 19}
    needed = sum(2 + max(len(_HEADS.get(name, name)), wide.get(name, 5)) for name in names)
    assert needed - 2 <= room or names == ("path",)
    assert (room >= 240) == (names == _SHOWN)

"""Albums of many events: a folder each, taken up again, chapters of an archive, and a page that lists all."""

import json
from dataclasses import fields, replace
from pathlib import Path

import jsonschema
import pytest

from setsolver.usecases import album_batch
from setsolver.usecases.album_batch import Event, folder_events, make_albums, part_of
from setsolver.usecases.schemas import FOLDER
from tests.usecases.albums import brief, shoot


@pytest.fixture
def common(tmp_path, monkeypatch):
    """Events of made-up snapshots: what is measured in a folder is not what is tested here."""
    monkeypatch.setattr(album_batch, "scan", lambda folder, workers: type("Report", (), {"frames": 1}))
    monkeypatch.setattr(album_batch, "snapshot", lambda folder: shoot(1 if folder.name == "few" else 8, 2))
    return Event(
        name="",
        folder=Path(),
        out=tmp_path / "books",
        brief=brief(spreads=(2, 2), kinds=("quiet", "quiet-upright")).model_dump_json(),
        chapter=None,
        ppi=300,
        profile=None,
        pages=False,
        time_limit=60,
        seed=0,
    )


def test_events_are_made_listed_and_taken_up_again(common, tmp_path):
    events = list(folder_events([tmp_path / "a", tmp_path / "few", tmp_path / "x" / "a"], common))
    assert [event.name for event in events] == ["a", "few", "a-2"]
    report = make_albums(events[:2], common.out, workers=0)
    assert (report.made, report.kept, report.failed) == (1, 0, 1)
    before = (common.out / "a" / "album.json").read_bytes()
    report = make_albums(events, common.out, workers=0)
    assert (report.made, report.kept, report.failed) == (1, 1, 1)
    assert (common.out / "a" / "album.json").read_bytes() == before
    document = json.loads((common.out / "albums.json").read_text())
    jsonschema.validate(document, json.loads((FOLDER / "albums.schema.json").read_text()))
    rows = {row["name"]: row for row in document["albums"]}
    assert "1 frame for at least 2 spreads" in rows["few"]["why"]
    assert rows["a"]["kept"]
    assert "Albums of 3 events, 2 made" in report.page.read_text()
    assert sorted(file.name for file in common.out.iterdir()) == ["a", "a-2", "albums.html", "albums.json"]


def test_an_event_without_a_book_is_tried_again(common, tmp_path, monkeypatch):
    events = list(folder_events([tmp_path / "few"], common))
    assert make_albums(events, common.out, workers=0).failed == 1
    monkeypatch.setattr(album_batch, "snapshot", lambda _: shoot(8, 2))
    report = make_albums(events, common.out, workers=0)
    assert (report.made, report.kept, report.failed) == (1, 0, 0)


def test_an_album_that_was_asked_otherwise_is_left_alone(common, tmp_path):
    (event,) = folder_events([tmp_path / "a"], common)
    make_albums([event], common.out, workers=0)
    make_albums([replace(event, seed=7)], common.out, workers=0)
    (row,) = json.loads((common.out / "albums.json").read_text())["albums"]
    assert (row["status"], row["spreads"]) == ("failed", 0)
    assert "asked otherwise; name a new folder with --out" in row["why"]


def test_whatever_is_asked_otherwise_makes_another_job(common, tmp_path):
    """All but what an event is called, and where its album goes."""
    others = {
        "folder": tmp_path / "b",
        "brief": brief(spreads=(3, 3)).model_dump_json(),
        "chapter": 2,
        "ppi": 200,
        "profile": tmp_path / "paper.icc",
        "pages": True,
        "time_limit": 61,
        "seed": 7,
        "work": 2.0,
        "intent": "perceptual",
    }
    assert {one.name for one in fields(Event)} - others.keys() == {"name", "out"}
    jobs = {replace(common, **{name: value}).job for name, value in others.items()}
    assert len(jobs | {common.job}) == len(others) + 1


def test_a_chapter_is_a_catalog_of_its_own():
    whole = replace(shoot(12, 3), pairs=((0, 1), (1, 6), (9, 11)), series=((0, 2, 9), (8, 10, 11)))
    part = part_of(whole, 2)
    assert [frame.id for frame in part.frames] == [0, 1, 2, 3]
    assert [frame.path for frame in part.frames] == [f"part-2/{n:04d}.jpg" for n in range(8, 12)]
    assert part.pairs == ((1, 3),)
    assert part.series == ((0, 2, 3),)

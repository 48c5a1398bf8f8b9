"""What verbs say of prints and books to people, line by line, of documents made by hand."""

import json
from contextlib import nullcontext
from pathlib import Path
from types import SimpleNamespace as Made

import pytest

from setsolver.cli import album, albums, finish
from setsolver.errors import BadInput
from setsolver.usecases.album_change import Change


def made(file, *notes):
    tone = Made(black=9.96, mid=48.04, white=91.5, cast_a=-0.26, cast_b=1.0)
    size = {"print_width_cm": 30.0, "print_height_cm": 19.96, "width": 3543, "height": 2362, "ppi": 299.6}
    return Made(file=file, tone=tone, notes=notes, **size)


def test_finish_tells_each_print_s_size_and_tone_and_the_look(told):
    look = Made(black=10.0, mid=50.0, white=90.0, cast_a=0.5, cast_b=-1.0)
    document = Made(prints=[made("01-jar.tif", "is large")], look=look, profile="sRGB", files=[])
    assert told(finish._echo, document, Path("prints")) == [
        "  print                cm       pixels  ppi  black   mid  white    a*   b*",
        "  01-jar.tif  30.0 x 20.0  3543 x 2362  300   10.0  48.0   91.5  -0.3  1.0",
        "the look: black 10.0, mid 50.0, white 90.0, a* 0.5, b* -1.0; measured on the files in sRGB",
        "  01-jar.tif: is large",
        "",
        "1 print in prints",
    ]
    document.prints *= 2
    document.files = [Made(file="lab.csv"), Made(file="hanging-plan.pdf")]
    says = told(finish._echo, document, Path("prints"))
    assert says[-1] == "2 prints in prints"
    assert says[-3].startswith("Before hanging, check the weight of each framed print")


def book(**more):
    frames = [Made(path="a.jpg"), Made(path="b\x1b.jpg")]
    spreads = [
        Made(number=1, chapter=1, kind="single", score=9.96, frames=frames[:1]),
        Made(number=12, chapter=2, kind="lead-two", score=-0.5, frames=frames),
    ]
    given = {
        "spreads": spreads,
        "status": "proven",
        "score": 9.46,
        "gap": None,
        "greedy": None,
        "changes": ["one", "two", "three", "four"],
        "files": [Made(file="album.pdf"), Made(file="screen.pdf")],
        "conflict": [],
        "ruled_out": [],
    }
    return Made(**given | more)


def test_a_book_is_told_spread_by_spread_and_what_changed_last(told):
    assert told(album._echo, book(), Path("out")) == [
        "  spread  chapter  kind      points  pictures",
        "       1        1  single      10.0  a.jpg",
        r"      12        2  lead-two    -0.5  a.jpg, b\x1b.jpg",
        "",
        "2 spreads, 3 pictures: 9.5 points, proven best",
        "two",
        "three",
        "four",
        "album.pdf, screen.pdf, album.json in out",
    ]


@pytest.mark.parametrize(
    ("gap", "says"),
    [(2.34, "at most 2.3 points better might exist"), (0.0, "at most 0.0 points"), (None, "a gap is open")],
)
def test_what_is_not_proven_of_a_book_is_told_and_what_the_plain_way_scores(told, gap, says):
    lines = told(album._echo, book(status="open", gap=gap, greedy=7.26), Path("out"))
    assert lines[4].startswith(f"2 spreads, 3 pictures: 9.5 points, {says}")
    assert lines[5] == "made chapter by chapter, each spread best by itself, it would score 7.3"


def test_no_book_is_told_with_its_ways_out(told):
    clash = [Made(says="8 frames", way_out="add frames"), Made(says="none fits", way_out="")]
    none = book(spreads=[], status="none", conflict=clash, ruled_out=[Made(in_full="1 frame is too small")])
    assert told(album._echo, none, Path("out")) == [
        "no album under these rules",
        "  8 frames",
        "    way out: add frames",
        "  none fits",
        "  out: 1 frame is too small",
    ]
    (says,) = told(album._echo, book(spreads=[], status="unknown"), Path("out"))
    assert says == "no album was found in the time given"


@pytest.mark.parametrize(
    ("asked", "bounds"), [(None, None), ("20", (20, 20)), ("20-40", (20, 40)), ("1-200", (1, 200)), ("7-7", (7, 7))]
)
def test_numbers_of_spreads_are_one_or_least_and_most(asked, bounds):
    assert album._spreads(asked) == bounds


@pytest.mark.parametrize("asked", ["0", "0-3", "201", "1-201", "9-3", "-3", "3-4-5", "many", ""])
def test_others_are_none(asked):
    with pytest.raises(BadInput, match="write a number from 1 to 200"):
        album._spreads(asked)


@pytest.mark.parametrize("named", [True, False])
def test_an_album_is_opened_again_where_its_catalog_is_now(monkeypatch, tmp_path, named):
    """By --catalog where it is given, else by what the album says; beside it lies what it was made of."""
    asked = []
    monkeypatch.setattr("setsolver.cli.measured._prepare", lambda _: None)
    monkeypatch.setattr("setsolver.usecases.album_files.load_album", lambda _: "the album")
    monkeypatch.setattr("setsolver.usecases.reopened.catalog_of", lambda _: Path("old"))
    monkeypatch.setattr("setsolver.usecases.snapshot.scanned", lambda folder: f"frames of {folder}")
    monkeypatch.setattr(
        "setsolver.usecases.album_change.change_album", lambda *given, **more: asked.append((given, more)) or "changed"
    )
    home = Path("moved" if named else "old")
    change = Change((), ("a.jpg",), (), None, None)
    for source, beside in ((tmp_path, tmp_path), (tmp_path / "album.json", tmp_path)):
        effort = album._Effort(3.0, 5, 2, 0.5)
        found = album._changed(source, home if named else None, None, change, effort, print)
        assert found == ("changed", home)
        (((opened, frames, what, given), more),) = asked
        assert (opened, frames, what) == ("the album", f"frames of {home}", change)
        assert (given.time_limit, given.seed, given.workers, given.work) == (3.0, 5, 2, 0.5)
        assert more == {"kept": beside, "keep": print}
        asked.clear()
    with pytest.raises(BadInput, match="keeps its brief"):
        album._changed(tmp_path, None, "hall", change, effort, print)


def test_a_batch_hands_on_what_was_asked_and_tells_each_album(monkeypatch, tmp_path, told):
    events, row = (
        [],
        {"name": "first", "spreads": 12, "score": 9.96, "gap": 0.04, "status": "open", "seconds": 1.26, "why": ""},
    )
    rows = [row, row | {"name": "second", "spreads": 0, "score": None, "gap": None, "status": "none", "why": "too few"}]
    rows.append(rows[1] | {"name": "third", "why": ""})

    def make(given, out, **more):
        events.extend(given)
        events.append(more["workers"])
        for event in given:
            more["progress"](event)
        (tmp_path / "albums.json").write_text(json.dumps({"albums": rows}))
        return Made(made=2, kept=0, failed=1, page=out / "albums.html")

    bars = []
    monkeypatch.setattr(albums, "scanning", lambda: nullcontext(lambda *given: bars.append(given)))
    monkeypatch.setattr("setsolver.usecases.album_batch.make_albums", make)
    paper = tmp_path / "paper.icc"
    given = albums.Given("story-album", tmp_path, 250.0, paper, "perceptual", False, 0.5, 60.0, 7, 3, None)
    lines = told(
        lambda: events.append(albums.batch((tmp_path / "a", tmp_path / "b"), given, by_chapter=False, as_json=False))
    )
    assert lines == [
        "  event   spreads  points  gap  seconds  what is short",
        "  first        12    10.0  0.0      1.3",
        "  second        0                   1.3  too few",
        "  third         0                   1.3  none",
        "",
        f"2 made, 1 without a book: {tmp_path / 'albums.html'}",
    ]
    assert bars == [("albums", 1, 2), ("albums", 2, 2)]
    first, second, workers, code = events
    assert (workers, code) == (3, 1)
    assert (first.folder, second.folder) == (tmp_path / "a", tmp_path / "b")
    assert (first.profile, first.intent, first.ppi, first.pages) == (paper.resolve(), "perceptual", 250.0, False)
    assert (first.time_limit, first.seed, first.work) == (60.0, 7, 0.5)

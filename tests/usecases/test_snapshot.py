"""What an index becomes: groups after a killed scan, the user's own words, and what they teach."""

import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from setsolver.api import Catalog
from setsolver.catalog.place import index_file
from setsolver.catalog.store import Store
from setsolver.domain.last import forget_all
from setsolver.domain.measures import Appeal, Clip, Kind
from setsolver.errors import BadInput, NoSuchFrame
from setsolver.usecases.frames import correct, frames_document
from setsolver.usecases.scan import scan
from setsolver.usecases.snapshot import scanned, snapshot
from setsolver.usecases.tasks import READ
from tests.catalog import fakes
from tests.catalog.pictures import save, scene
from tests.catalog.test_metadata import keywords
from tests.catalog.test_xmp import packet


@pytest.fixture
def folder(tmp_path):
    for number in range(4):
        save(tmp_path / f"jar-{number}.png", scene(64, 48, seed=number))
    noise = np.random.default_rng(0).integers(0, 255, (48, 64, 3), dtype=np.uint8)
    save(tmp_path / "noise.png", noise)
    scan(tmp_path, workers=0, factory=fakes.measurer)
    return tmp_path


def test_a_correction_wins_at_once(folder):
    correct(folder, {"jar-1.png": {"scale": "close"}})
    frame = snapshot(folder).by_path("jar-1.png")
    assert (frame.said, frame.odds.best, frame.odds.sure) == ("close", "close", 1.0)


def test_the_catalog_is_read_once_however_many_paths_lead_to_frames_from_elsewhere(folder, monkeypatch):
    reads, real = [], Store.paths
    monkeypatch.setattr(Store, "paths", lambda store: reads.append(store) or real(store))
    monkeypatch.chdir(folder)
    said = {"./jar-0.png": {"stars": "3"}, "jar-1.png": {"stars": "3"}, "../" * 40: {"stars": "3"}}
    with pytest.raises(NoSuchFrame, match="no frame"):
        correct(folder, said)
    del said["../" * 40]
    assert len(reads) == 1
    assert correct(folder, said | {f"{folder}/jar-2.png": {"stars": "3"}}).keys() == {
        "jar-0.png",
        "jar-1.png",
        "jar-2.png",
    }
    assert len(reads) == 2


def test_a_correction_moves_its_likes_more_than_others(folder):
    before = {frame.path: frame.odds.close for frame in snapshot(folder).frames}
    correct(folder, {"jar-1.png": {"scale": "close"}})
    after = {frame.path: frame.odds.close for frame in snapshot(folder).frames}
    assert after["jar-2.png"] > before["jar-2.png"]
    assert after["jar-2.png"] - before["jar-2.png"] > abs(after["noise.png"] - before["noise.png"])


def test_taking_a_correction_back_restores_what_was_measured(folder):
    before = [frame.odds for frame in snapshot(folder).frames]
    correct(folder, {"jar-1.png": {"scale": "close"}})
    correct(folder, {"jar-1.png": {"scale": None}})
    assert [frame.odds for frame in snapshot(folder).frames] == before


def test_a_keyword_counts_and_a_correction_wins_over_it(folder):
    (folder / "jar-0.xmp").write_bytes(packet(keywords("kiln", "scale:wide")))
    scan(folder, workers=0, factory=fakes.measurer)
    assert snapshot(folder).by_path("jar-0.png").said == "wide"
    correct(folder, {"jar-0.png": {"scale": "medium"}})
    assert snapshot(folder).by_path("jar-0.png").said == "medium"


def test_keywords_that_contradict_each_other_count_for_nothing_and_are_noted(folder):
    (folder / "jar-0.xmp").write_bytes(packet(keywords("scale:wide", "scale:close")))
    scan(folder, workers=0, factory=fakes.measurer)
    frame = snapshot(folder).by_path("jar-0.png")
    assert (frame.said, frame.odds) == (None, frame.measures.odds)
    assert "scale:wide and scale:close" in frame.note
    correct(folder, {"jar-0.png": {"scale": "medium"}})
    frame = snapshot(folder).by_path("jar-0.png")
    assert (frame.said, frame.note) == ("medium", "")


def appealing(rgb, known=None, due=()):
    """Measure with an appeal of 3 and a content of its own for likes."""
    found = fakes.measure(rgb)
    content = Clip(*(found.embedding[:size].astype(np.float16) for size in (512, 768, 768)))
    return replace(found, clip=content, appeal=Appeal(3.0, 0.5), kind=Kind(0.1, 0.8, 0.1))


@pytest.fixture
def rated(folder):
    scan(folder, workers=0, factory=lambda: appealing, force=True)
    return folder


def appeal_of(folder):
    return {frame.path: frame.measures.appeal.value for frame in snapshot(folder).frames}


def test_stars_move_their_frame_and_its_likes(rated):
    correct(rated, {"jar-0.png": {"stars": "5"}})
    after = appeal_of(rated)
    assert 3.0 < after["noise.png"] < after["jar-1.png"] < after["jar-0.png"] < 5.0
    assert snapshot(rated).by_path("jar-0.png").given_stars == 5
    correct(rated, {"jar-0.png": {"stars": None}})
    assert set(appeal_of(rated).values()) == {3.0}


def test_a_rating_in_the_metadata_counts_as_stars_and_the_users_own_win(rated):
    (rated / "jar-0.xmp").write_bytes(packet("<xmp:Rating>5</xmp:Rating>"))
    (rated / "jar-1.xmp").write_bytes(packet("<xmp:Rating>0</xmp:Rating>"))  # unrated (XMP specification part 1)
    scan(rated, workers=0, factory=lambda: appealing)
    assert [snapshot(rated).by_path(f"jar-{k}.png").given_stars for k in (0, 1)] == [5, None]
    assert appeal_of(rated)["jar-0.png"] > 4
    correct(rated, {"jar-0.png": {"stars": "1"}})
    assert appeal_of(rated)["jar-0.png"] < 2


def test_the_users_kind_wins_and_is_in_the_document(rated):
    correct(rated, {"jar-0.png": {"kind": "photograph"}})
    document = {frame["path"]: frame for frame in frames_document(snapshot(rated))["frames"]}
    assert (document["jar-0.png"]["kind"], document["jar-1.png"]["kind"]) == ("photograph", "document")
    assert document["jar-0.png"]["kind_odds"] == {"photograph": 0.1, "document": 0.8, "screen": 0.1}
    assert (document["jar-0.png"]["appeal"], document["jar-0.png"]["appeal_spread"]) == (3.0, 0.5)
    assert document["jar-0.png"]["stars"] is None


def test_without_appeal_stars_are_kept_and_kind_is_photograph(folder):
    correct(folder, {"jar-0.png": {"stars": "5"}})
    frame = snapshot(folder).by_path("jar-0.png")
    assert (frame.measures.appeal, frame.given_stars, frame.kind) == (None, 5, "photograph")


def test_unknown_frames_and_scales_are_errors_with_a_way_out(folder):
    with pytest.raises(NoSuchFrame, match=r"did you mean 'jar-1\.png'"):
        correct(folder, {"jar-1.jpg": {"scale": "close"}})
    with pytest.raises(BadInput, match="say one of wide, medium, close"):
        Catalog.open(folder).correct("jar-1.png", scale="huge")


def test_groups_that_a_killed_scan_left_out_are_made_up_for(folder):
    with Store(index_file(folder), *READ) as store:
        grouped = store.grouped()
        store._due()
    frames = snapshot(folder).frames
    assert min(frame.moment for frame in frames) == 0
    with Store(index_file(folder), *READ) as store:
        assert store.grouped() == grouped


def test_likes_are_pairs_and_one_moment(folder):
    found = snapshot(folder)
    paths = {tuple(found.frames[number].path for number in pair) for pair in found.pairs}
    assert ("jar-0.png", "jar-1.png") in paths
    assert not any("noise.png" in pair for pair in paths)
    moments = {frame.path: frame.moment for frame in found.frames}
    assert moments["jar-0.png"] == moments["jar-1.png"] != moments["noise.png"]


def test_the_document_names_every_frame_and_measure(folder):
    document = frames_document(snapshot(folder))
    assert (document["format"], document["version"]) == ("setsolver/frames", 1)
    frame = document["frames"][0]
    assert sum(frame["scale"].values()) == pytest.approx(1, abs=2e-4)
    assert {"path", "time", "size", "scale", "tone", "tilt_degrees", "faces", "subject", "sharpness", "grain"} < set(
        frame
    )
    assert {"moment", "scene", "note"} < set(frame)
    assert {"black", "white", "mid", "cast_a", "cast_b"} < set(frame["tone"])
    assert len(frame["subject"]) == 4
    assert frame["size"] == [64, 48]


def test_more_said_without_a_look_at_the_index_is_what_the_index_says_after_it(folder):
    held = snapshot(folder)
    steps = (
        {"jar-1.png": {"scale": "close", "stars": "5"}, "jar-2.png": {"kind": "document"}},
        {"jar-3.png": {"stars": "0"}},
        {"jar-1.png": {"scale": None}},
        {"jar-1.png": {"stars": None}, "jar-3.png": {"stars": None}},
    )
    for said in steps:
        held = held.resaid(said)
        correct(folder, said)
        looks = held.signatures()
        forget_all()
        read = snapshot(folder)
        assert frames_document(held) == frames_document(read)
        assert (held.pairs, held.series, held.refused) == (read.pairs, read.series, read.refused)
        for mine, index in zip(looks, read.signatures(), strict=True):
            np.testing.assert_array_equal(mine, index)


@pytest.mark.parametrize("said", [".", "../{name}", "below/..", "below/../."])
def test_a_catalog_is_called_by_its_name_wherever_the_user_stands(folder, monkeypatch, said):
    """A set that says "." would be about whatever folder it is read in, and a page would have "." for a name."""
    (folder / "below").mkdir()
    monkeypatch.chdir(folder)
    name = snapshot(Path(said.format(name=folder.name))).folder
    assert Path(name).name == folder.name
    assert Path(name).resolve() == folder.resolve()


def test_a_catalog_above_the_user_is_called_by_its_name(folder, monkeypatch):
    (folder / "below").mkdir()
    monkeypatch.chdir(folder / "below")
    assert snapshot(Path("..")).folder == str(folder.resolve())


def test_a_name_that_was_given_stays_as_it_was_given(folder, monkeypatch):
    monkeypatch.chdir(folder.parent)
    assert snapshot(Path(folder.name)).folder == folder.name


def test_an_index_of_another_version_says_what_to_do_and_an_empty_one_is_empty(folder, tmp_path):
    assert [frame.path for frame in scanned(folder).frames] == [frame.path for frame in snapshot(folder).frames] != []
    with closing(sqlite3.connect(index_file(folder))) as db, db:
        db.execute("UPDATE frame SET version = 'of before'")
    forget_all()
    with pytest.raises(BadInput, match=r"written by another version of setsolver; run `setsolver scan .*`, then"):
        scanned(folder)
    (tmp_path / "empty").mkdir()
    assert not scanned(tmp_path / "empty").frames

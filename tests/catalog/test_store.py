"""Rows of the index: what comes back, whole, in order and while others write."""

import dataclasses
import sqlite3

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.catalog.codec import pack_measures, pack_shot, unpack_measures, unpack_shot
from setsolver.catalog.records import Known, RefusedRow, Retold
from setsolver.catalog.store import Store
from setsolver.domain.frame import Shot
from setsolver.domain.measures import Clip, Tilt
from setsolver.errors import BadInput
from tests.catalog.stored import row
from tests.rules.builders import make_face, make_frame

FRAME = make_frame(3, tilt=Tilt(1.5, 0.9, 0.4), faces=(make_face(0.5, 0.4),))


@pytest.fixture
def store(tmp_path):
    with Store(tmp_path / "catalog.db", "1") as opened:
        yield opened


def same(one, two):
    """Tell whether two records are equal, arrays bit by bit."""
    if isinstance(one, np.ndarray):
        return one.dtype == two.dtype and np.array_equal(one, two)
    if dataclasses.is_dataclass(one):
        return all(same(getattr(one, f.name), getattr(two, f.name)) for f in dataclasses.fields(one))
    if isinstance(one, tuple):
        return type(one) is type(two) and len(one) == len(two) and all(map(same, one, two))
    return one == two


def test_measures_come_back_bit_by_bit():
    assert same(unpack_measures(*pack_measures(FRAME.measures)), FRAME.measures)


def test_measures_with_numpy_scalars_pack():
    tone = FRAME.measures.tone._replace(black=np.float32(3.5))
    back = unpack_measures(*pack_measures(dataclasses.replace(FRAME.measures, tone=tone)))
    assert back.tone.black == 3.5


def test_what_a_quick_scan_left_and_what_another_version_stored_is_none():
    seen = Clip(*(np.arange(size, dtype=np.float16) for size in (512, 768, 768)))
    text, arrays = pack_measures(dataclasses.replace(FRAME.measures, clip=seen))
    assert same(unpack_measures(text, arrays).clip, seen)
    assert unpack_measures(text, arrays, without={"clip", "tone"}).tone is None
    assert unpack_measures(*pack_measures(FRAME.measures)).clip is None


@given(
    st.builds(
        Shot,
        time=st.none() | st.datetimes(),
        utc_offset=st.none() | st.integers(-840, 840),
        camera=st.none() | st.text(),
        distance_m=st.none() | st.just(float("inf")) | st.floats(0.1, 100),
        keywords=st.lists(st.text()).map(tuple),
    )
)
def test_shots_come_back(shot):
    assert unpack_shot(pack_shot(shot)) == shot


def test_a_frame_comes_back(store):
    store.write([row("b.jpg", 1), row("a.jpg", 2)])
    frames = list(store.frames())
    assert [(frame.id, frame.path) for frame in frames] == [(0, "a.jpg"), (1, "b.jpg")]
    assert same(frames[0].measures, make_frame(2).measures)
    assert (frames[0].shot.rating, frames[0].shot.keywords, frames[0].file_bytes) == (3.0, ("kiln",), 10)


def test_refused_and_measured_exclude_each_other(store):
    known = Known(10, 20, "", "1")
    store.write([row("a.jpg")], [RefusedRow("b.jpg", known, "cut off")])
    assert [(out.path, out.why) for out in store.refused()] == [("b.jpg", "cut off")]
    store.write([row("b.jpg")], [RefusedRow("a.jpg", known, "damaged")])
    assert list(store.known()) == ["b.jpg"]
    assert list(store.known_refused()) == ["a.jpg"]


def test_touched_files_keep_their_measures(store):
    store.write([row("a.jpg", 5)])
    later = dataclasses.replace(row("a.jpg", known=Known(11, 99, "x", "1", b"digest")), measures=None)
    store.write([later])
    (frame,) = store.frames()
    assert same(frame.measures, make_frame(5).measures)
    assert (frame.width, frame.file_bytes) == (6000, 11)
    assert store.known()["a.jpg"] == Known(11, 99, "x", "1", b"digest")


def test_what_is_told_anew_keeps_the_file_and_its_metadata(store):
    store.write([row("a.jpg", 5)])
    store.write([Retold("a.jpg", "1", make_frame(6).measures)])
    (frame,) = store.frames()
    assert same(frame.measures, make_frame(6).measures)
    assert (frame.width, frame.shot.rating) == (6000, 3.0)
    assert store.known()["a.jpg"] == Known(10, 20, "", "1", b"digest")


def test_measures_of_another_version_are_read_without_what_is_due(tmp_path):
    with Store(tmp_path / "catalog.db", "1") as old:
        old.write([row("a.jpg", 5)])
    with Store(tmp_path / "catalog.db", "2", "3") as new:
        known = new.measures("a.jpg", {"tone"})
        assert known.tone is None
        assert same(known.tilt, make_frame(5).measures.tilt)
        assert new.measures("b.jpg", ()) is None


def test_frames_of_every_version_named_are_read(tmp_path):
    with Store(tmp_path / "catalog.db", "1", "2") as store:
        store.write([row(f"{version}.jpg", known=Known(1, 2, "", version, b"x")) for version in "123"])
        assert [frame.path for frame in store.frames()] == ["1.jpg", "2.jpg"]
        assert [store.count(version) for version in "124"] == [1, 1, 0]


def test_remarks_on_metadata_are_told_with_the_note(store):
    plain = row("a.jpg")
    store.write([dataclasses.replace(plain, note="on its preview", shot=Shot(remark="no sidecar"))])
    assert next(store.frames()).note == "on its preview; no sidecar"
    store.write([dataclasses.replace(plain, shot=Shot(), measures=None)])
    assert next(store.frames()).note == "on its preview"


def test_rows_of_another_version_are_not_read(tmp_path):
    with Store(tmp_path / "catalog.db", "1") as old:
        old.write([row("a.jpg")])
    with Store(tmp_path / "catalog.db", "2") as new:
        assert list(new.frames()) == []
        assert new.known()["a.jpg"].version == "1"


def test_a_failed_batch_leaves_nothing(store):
    broken = dataclasses.replace(row("b.jpg"), width=None)
    with pytest.raises(sqlite3.IntegrityError):
        store.write([row("a.jpg"), broken])
    assert store.known() == {}


def test_reading_goes_on_while_a_scan_writes(tmp_path):
    with Store(tmp_path / "catalog.db", "1") as writer, Store(tmp_path / "catalog.db", "1") as reader:
        writer.write([row("a.jpg")])
        frames = reader.frames()
        first = next(frames)
        writer.write([row("b.jpg")])
        assert (first.path, list(frames)) == ("a.jpg", [])
        assert len(list(reader.frames())) == 2


@settings(max_examples=20, deadline=None)
@given(st.lists(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), min_size=1), unique=True))
def test_frames_come_in_the_order_in_which_python_sorts_paths(tmp_path_factory, paths):
    with Store(tmp_path_factory.mktemp("order") / "catalog.db", "1") as store:
        store.write([row(path) for path in paths])
        assert [frame.path for frame in store.frames()] == sorted(paths)


def test_shots_and_looks_come_in_the_order_asked_for(store):
    store.write([row("kiln/b.jpg", 1), row("a.jpg", 2)])
    assert [(folder, shot.rating) for folder, shot in store.shots()] == [("", 3.0), ("kiln", 3.0)]
    for order in (slice(None), slice(None, None, -1)):
        embedding, phash = store.looks(store.ids()[order])
        assert phash.tolist() == [make_frame(2).measures.phash, make_frame(1).measures.phash][order]
        assert np.array_equal(embedding, [make_frame(n).measures.embedding for n in (2, 1)][order])


def test_what_scenes_are_told_by_comes_in_the_order_asked_for(store):
    plain = row("a.jpg", 1)
    spoken = Clip(*(np.full(size, 0.5, np.float16) for size in (512, 768, 768)))
    seen = dataclasses.replace(row("b.jpg", 2), measures=dataclasses.replace(FRAME.measures, clip=spoken))
    store.write([plain, seen])
    embedding, places, colour = store.contents(store.ids()[::-1])
    assert np.array_equal(embedding, [seen.measures.embedding, plain.measures.embedding])
    assert places.any(axis=1).tolist() == [True, False]
    for found, one in zip(colour, (seen, plain), strict=True):
        assert found.tolist() == pytest.approx([*(one.measures.palette or (0, 0, 0)), one.measures.tone.mid])


def test_what_is_read_stays_as_it_is_while_others_write(store):
    store.write([row("a.jpg")])
    with Store(store.file, "1") as other, store.reading():
        assert len(store.ids()) == 1
        other.write([row("b.jpg")])
        assert len(store.ids()) == 1
    assert len(store.ids()) == 2


def test_numbers_that_are_none_are_told_as_damage(store):
    store.write([row("a.jpg"), row("b.jpg")])
    wrong = np.full(1280, np.nan, "<f2").tobytes()
    store._db.execute("UPDATE array SET value = ? WHERE name = 'embedding' AND frame = ?", (wrong, store.ids()[0]))
    with pytest.raises(BadInput, match=r"damaged row .*scan --again"):
        store.contents(store.ids())

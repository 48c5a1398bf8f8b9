"""Corrections in the index: they outlive their frame, follow its content, and are never replaced."""

import sqlite3

import pytest

from setsolver.catalog import migrations
from setsolver.catalog.records import Known, RefusedRow
from setsolver.catalog.store import Store
from tests.catalog.stored import row


@pytest.fixture
def store(tmp_path):
    with Store(tmp_path / "catalog.db", "1") as opened:
        yield opened


def test_an_index_of_before_keeps_corrections_and_is_measured_again(tmp_path, monkeypatch):
    file = tmp_path / "catalog.db"
    before = next(n for n, (name, _) in enumerate(migrations.STEPS) if name.startswith("arrays of any measure"))
    with monkeypatch.context() as patched:
        patched.setattr(migrations, "STEPS", migrations.STEPS[:before])
        db = sqlite3.connect(file, isolation_level=None)
        migrations.migrate(db)
        old = ("a.jpg", 10, 20, "", b"digest", "7", 60, 40, "", "{}", '{"tone":[]}', *[b"\0" * 8] * 6)
        names = "path, bytes, mtime_ns, stamp, digest, version, width, height, note, shot, facts"
        names += ", phash, tiles, neutral, detail, attention, embedding"
        db.execute(f"INSERT INTO frame ({names}) VALUES ({', '.join('?' * len(old))})", old)
        columns = [name for _, name, *_ in db.execute("PRAGMA table_info(correction)")]
        said = {"path": "a.jpg", "scale": "close", "name": "scale", "value": "close"}
        kept = {name: said[name] for name in columns if name in said}
        db.execute(
            f"INSERT INTO correction ({', '.join(kept)}) VALUES ({', '.join('?' * len(kept))})", tuple(kept.values())
        )
        db.close()
    with Store(file, "1") as store:
        assert list(store.frames()) == []
        assert store.known() == {"a.jpg": Known(10, 20, "", "", b"digest")}
        store.write([row("a.jpg")])
        assert [frame.said for frame in store.frames()] == ["close"]


def test_corrections_outlive_their_frame(store):
    store.write([row("a.jpg")])
    store.correct({"a.jpg": {"scale": "close"}})
    store.forget(["a.jpg"])
    store.write([row("a.jpg")])
    assert next(store.frames()).said == "close"
    store.correct({"a.jpg": {"scale": None}})
    assert next(store.frames()).said is None


def test_a_turn_counts_once_the_frame_was_measured_turned(store):
    store.write([row("a.jpg")])
    store.correct({"a.jpg": {"turn": "90"}})
    assert next(store.frames()).turn is None
    store.write([row("a.jpg", known=Known(10, 20, "", "1", b"digest", 90))])
    assert next(store.frames()).turn == 90
    assert (store.turn_of("a.jpg"), store.turn_of("b.jpg")) == (90, 0)
    assert store.known()["a.jpg"].turn == 90


def test_turns_and_scales_are_said_and_taken_back_apart(store):
    store.write([row("a.jpg")])
    store.correct({"a.jpg": {"turn": "0", "scale": "close"}})
    store.correct({"a.jpg": {"scale": None}})
    frame = next(store.frames())
    assert (frame.turn, frame.said) == (0, None)


def test_scales_kept_by_an_older_index_are_kept(tmp_path):
    db = sqlite3.connect(tmp_path / "catalog.db", isolation_level=None)
    db.execute("CREATE TABLE migration (number INTEGER PRIMARY KEY, name TEXT, made TEXT)")
    for _, statements in migrations.STEPS[:3]:
        for statement in statements:
            db.execute(statement)
    db.execute("PRAGMA user_version = 3")
    db.execute("INSERT INTO correction (path, scale, digest) VALUES ('a.jpg', 'close', x'00')")
    db.close()
    with Store(tmp_path / "catalog.db", "1") as store:
        assert store.corrections() == {"a.jpg": {"scale": "close"}}


def content(path, digest):
    return row(path, known=Known(10, 20, "", "1", digest))


def test_a_correction_goes_with_the_content_to_another_path(store):
    store.write([content("a.jpg", b"clay"), content("b.jpg", b"sky")])
    store.correct({"a.jpg": {"scale": "close"}})
    assert store.carry_corrections() == ()
    store.forget(["a.jpg"])
    assert store.carry_corrections() == ()
    store.write([content("c.jpg", b"clay")])
    assert store.carry_corrections() == (("a.jpg", "c.jpg"),)
    assert store.corrections() == {"c.jpg": {"scale": "close"}}
    assert store.carry_corrections() == ()


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ({"a.jpg": b"clay"}, {"c.jpg": b"clay", "d.jpg": b"clay"}),
        ({"a.jpg": b"clay", "b.jpg": b"clay"}, {"c.jpg": b"clay"}),
        ({"a.jpg": b"clay"}, {"a.jpg": b"sky", "c.jpg": b"clay"}),
        ({"a.jpg": b"clay"}, {"c.jpg": b"sky"}),
    ],
    ids=["two copies", "two that vanished", "a path that is still there", "other content"],
)
def test_a_correction_stays_where_it_is_not_clear_whose_it_is(store, before, after):
    store.write([content(*item) for item in before.items()])
    store.correct({path: {"scale": "close"} for path in before})
    store.forget(before)
    store.write([content(*item) for item in after.items()])
    assert store.carry_corrections() == ()
    assert store.corrections() == {path: {"scale": "close"} for path in before}


def test_a_correction_of_ones_own_is_never_replaced(store):
    store.write([content("a.jpg", b"clay"), content("c.jpg", b"clay")])
    store.correct({"a.jpg": {"scale": "close"}, "c.jpg": {"scale": "wide"}})
    store.forget(["a.jpg"])
    assert store.carry_corrections() == ()
    assert store.corrections() == {"a.jpg": {"scale": "close"}, "c.jpg": {"scale": "wide"}}


def test_a_refused_file_keeps_its_correction_and_a_renamed_one_takes_it_along(store):
    store.write([content("a.jpg", b"clay")])
    store.correct({"a.jpg": {"scale": "close"}})
    store.write([content("c.jpg", b"clay")], [RefusedRow("a.jpg", Known(10, 20, "", "1"), "no permission")])
    assert store.carry_corrections() == ()
    store.forget(["a.jpg"])
    assert store.carry_corrections() == (("a.jpg", "c.jpg"),)

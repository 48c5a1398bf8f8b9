"""Corrections of two indexes of one folder: what was said last counts, wherever it was said."""

import sqlite3
from contextlib import closing

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.catalog.corrections import newer
from setsolver.catalog.store import Store

SAID = st.dictionaries(
    st.tuples(st.sampled_from("abc"), st.sampled_from(["scale", "turn"])),
    st.tuples(st.integers(0, 5), st.none() | st.sampled_from(["wide", "90"])),
)


@given(ours=SAID, theirs=SAID)
def test_after_taking_over_nothing_newer_is_left(ours, theirs):
    merged = ours | newer(ours, theirs)
    assert newer(merged, theirs) == {}
    assert merged.keys() == ours.keys() | theirs.keys()
    for key, (made, value) in merged.items():
        assert made == max(one[key][0] for one in (ours, theirs) if key in one)
        assert (made, value) in [one[key] for one in (ours, theirs) if key in one]


@pytest.fixture
def two(tmp_path):
    with Store(tmp_path / "one.db", "1") as one, Store(tmp_path / "two.db", "1") as two:
        yield one, two


def test_what_was_said_elsewhere_is_found_and_what_was_said_last_counts(two):
    one, other = two
    one.correct({"a": {"scale": "wide"}, "b": {"scale": "wide"}})
    other.correct({"a": {"scale": "close"}, "c": {"turn": "90"}})
    one.merge(other.file)
    other.merge(one.file)
    assert one.corrections() == other.corrections()
    assert one.corrections() == {"a": {"scale": "close"}, "b": {"scale": "wide"}, "c": {"turn": "90"}}


def test_what_was_taken_back_stays_so(two):
    one, other = two
    one.correct({"a": {"scale": "wide"}})
    other.merge(one.file)
    other.correct({"a": {"scale": None}})
    other.merge(one.file)
    one.merge(other.file)
    assert (one.corrections(), other.corrections()) == ({}, {})
    one.correct({"a": {"scale": "medium"}})
    other.merge(one.file)
    assert other.corrections() == {"a": {"scale": "medium"}}


def test_an_index_of_version_0_1_gives_what_it_has(two, tmp_path):
    with closing(sqlite3.connect(tmp_path / "old.db")) as db:
        db.execute("CREATE TABLE migration (number INTEGER PRIMARY KEY, name TEXT, made TEXT)")
        db.execute("CREATE TABLE correction (path TEXT PRIMARY KEY, scale TEXT NOT NULL, digest BLOB)")
        db.executemany("INSERT INTO correction VALUES (?, ?, NULL)", [("a", "wide"), ("b", "close")])
        db.commit()
    two[0].correct({"a": {"scale": "medium"}})
    two[0].merge(tmp_path / "old.db")
    assert two[0].corrections() == {"a": {"scale": "medium"}, "b": {"scale": "close"}}


def test_an_index_that_cannot_be_read_is_noted(two, tmp_path):
    (tmp_path / "bad.db").write_bytes(b"no database " * 100)
    two[0].merge(tmp_path / "bad.db")
    (note,) = two[0].notes
    assert "bad.db" in note
    assert "could not be taken over" in note

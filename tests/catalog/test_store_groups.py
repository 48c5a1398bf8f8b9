"""What grouping found, in the index: by position, and due again after any change."""

import pytest

from setsolver.catalog.records import Known
from setsolver.catalog.store import Store
from setsolver.errors import CatalogBusy
from tests.catalog.stored import groups, row


@pytest.fixture
def store(tmp_path):
    with Store(tmp_path / "catalog.db", "1") as opened:
        yield opened


def test_any_change_makes_grouping_due(store):
    store.write([row("a.jpg"), row("b.jpg")])
    assert store.grouped() is None
    store.group("key", store.ids(), groups([0, 1], [(0, 1)]))
    assert (store.grouped(), store.pairs()) == ("key", ((0, 1),))
    store.write([])
    assert store.grouped() == "key"
    store.forget(["a.jpg"])
    assert (store.grouped(), store.pairs()) == (None, ())
    assert [frame.moment for frame in store.frames()] == [1]


def test_pairs_are_positions_by_path_whatever_the_order_of_writing(store):
    store.write([row("c.jpg"), row("a.jpg")])
    store.write([row("b.jpg")])
    store.group("key", store.ids(), groups([0, 1, 0], [(0, 2)]))
    assert store.pairs() == ((0, 2),)
    assert [(frame.path, frame.moment) for frame in store.frames()] == [("a.jpg", 0), ("b.jpg", 1), ("c.jpg", 0)]


def test_pairs_with_frames_of_another_version_are_not_told(tmp_path):
    with Store(tmp_path / "catalog.db", "1", "2") as store:
        store.write([row("a.jpg"), row("b.jpg"), row("c.jpg", known=Known(10, 20, "", "2", b"digest"))])
        store.group("key", store.ids(), groups([0, 0, 0], [(0, 1), (1, 2)]))
    with Store(tmp_path / "catalog.db", "1") as store:
        assert [frame.path for frame in store.frames()] == ["a.jpg", "b.jpg"]
        assert store.pairs() == ((0, 1),)


def test_groups_of_other_frames_are_not_written(store):
    store.write([row("a.jpg"), row("b.jpg")])
    ids = store.ids()
    store.forget(["a.jpg"])
    with pytest.raises(CatalogBusy, match="changed while they were grouped"):
        store.group("key", ids, groups([0, 0]))
    assert store.grouped() is None


def test_series_are_positions_by_path_and_lose_frames_that_are_gone(store):
    store.write([row("d.jpg"), row("b.jpg"), row("c.jpg"), row("a.jpg")])
    store.group("key", store.ids(), groups([0, 1, 0, 0], series=([0, 2, 3],)))
    assert (store.series(), store.pairs()) == (((0, 2, 3),), ())
    store.forget(["c.jpg"])
    assert store.series() == ((0, 2),)


def test_remarks_of_grouping_are_kept(store):
    assert store.remarks() == ()
    store.group("key", [], groups([], remarks=("clocks apart",)))
    assert store.remarks() == ("clocks apart",)

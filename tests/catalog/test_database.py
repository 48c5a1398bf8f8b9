"""An index is opened and brought up to date, or told why not; one scan holds it at a time."""

import contextlib
import sqlite3
import threading

import pytest

from setsolver.catalog import database, migrations
from setsolver.catalog.store import Store
from setsolver.errors import BadInput, CatalogBusy, SetsolverError


def test_one_scan_at_a_time(tmp_path):
    with Store(tmp_path / "catalog.db", "1") as one, Store(tmp_path / "catalog.db", "1") as two:
        with one.scanning(), pytest.raises(CatalogBusy, match="another scan is writing"), two.scanning():
            pytest.fail("two scans at once")
        with two.scanning():
            assert two.known() == {}


def test_a_damaged_index_says_so(tmp_path):
    (tmp_path / "catalog.db").write_bytes(b"this is no database, " * 100)
    with pytest.raises(BadInput, match=r"catalog\.db.*cannot be used.*delete it"):
        Store(tmp_path / "catalog.db", "1")


def test_an_index_of_a_newer_version_says_so(tmp_path):
    with sqlite3.connect(tmp_path / "catalog.db") as db:
        db.execute("PRAGMA user_version = 999")
    db.close()
    with pytest.raises(BadInput, match="newer version"):
        Store(tmp_path / "catalog.db", "1")


def test_migrations_are_recorded_once(tmp_path):
    for _ in range(2):
        with Store(tmp_path / "catalog.db", "1"):
            pass
    db = sqlite3.connect(tmp_path / "catalog.db")
    try:
        (version,) = db.execute("PRAGMA user_version").fetchone()
        assert db.execute("SELECT number FROM migration").fetchall() == [(n + 1,) for n in range(version)]
    finally:
        db.close()


def test_a_failed_migration_changes_nothing(tmp_path, monkeypatch):
    good = migrations.STEPS
    monkeypatch.setattr(migrations, "STEPS", (*good, ("broken", ("CREATE TABLE extra (x)", "NO SQL AT ALL"))))
    with pytest.raises(BadInput, match="cannot be used"):
        Store(tmp_path / "catalog.db", "1")
    monkeypatch.setattr(migrations, "STEPS", good)
    with Store(tmp_path / "catalog.db", "1") as store:
        assert store.known() == {}


@pytest.mark.parametrize(("schema", "says"), [(-1, "which none ever had: it is damaged"), (99, "by a newer version")])
def test_an_index_that_says_a_schema_of_nobody_is_left_as_it_is(tmp_path, schema, says):
    file = tmp_path / "catalog.db"
    with Store(file, "1"):
        pass
    with contextlib.closing(sqlite3.connect(file)) as db:
        db.execute(f"PRAGMA user_version = {schema}")
    with pytest.raises(BadInput, match=says):
        Store(file, "1")


@pytest.mark.parametrize("patience", [30.0, 0.0])
def test_an_index_that_another_is_about_to_write_is_waited_for(tmp_path, monkeypatch, patience):
    """SQLite does not wait by itself where the other has begun to write before the file is in WAL mode."""
    monkeypatch.setattr(database, "_PATIENCE", patience)
    file = tmp_path / "catalog.db"
    with contextlib.closing(sqlite3.connect(file, isolation_level=None, check_same_thread=False)) as other:
        other.execute("BEGIN IMMEDIATE")
        if patience == 0.0:
            with pytest.raises(CatalogBusy, match="another program holds the index"):
                Store(file, "1")
        later = threading.Timer(0.2, other.execute, ["COMMIT"])
        later.start()
        if patience:
            with Store(file, "1") as store:
                assert store.known() == {}
        later.join()


def test_two_processes_may_migrate_at_once(tmp_path):
    errors = []

    def open_it():
        try:
            with Store(tmp_path / "catalog.db", "1"):
                pass
        except SetsolverError as error:
            errors.append(error)

    threads = [threading.Thread(target=open_it) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert errors == []

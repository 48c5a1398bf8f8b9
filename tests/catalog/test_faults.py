"""What goes wrong with an index is told with its way out, and nobody is told to delete what is only held or full."""

import json
import sqlite3
from contextlib import closing

import pytest

from setsolver.catalog import database
from setsolver.catalog.store import Store
from setsolver.errors import BadInput, CatalogBusy
from tests.usecases.shoots import run, shoot


@pytest.fixture
def file(tmp_path):
    with Store(tmp_path / "index.db", "1"):
        pass
    return tmp_path / "index.db"


def test_a_lock_that_is_not_given_up_is_no_damage(file, monkeypatch):
    monkeypatch.setattr(database, "_PATIENCE", 0.1)
    with closing(sqlite3.connect(file, isolation_level=None)) as holder:
        holder.execute("BEGIN EXCLUSIVE")
        with pytest.raises(CatalogBusy, match="another program holds") as told, Store(file, "1") as store:
            store.correct({"a": {"scale": "wide"}})
    assert "delete" not in str(told.value)


def test_a_full_disk_is_told_and_costs_nothing_that_was_kept(file):
    with Store(file, "1") as store:
        store.correct({"a": {"scale": "wide"}})
    with pytest.raises(BadInput, match=r"database or disk is full.*disk has room") as told:
        write_on_a_full_disk(file)
    assert "delete" not in str(told.value)
    with Store(file, "1") as store:
        assert store.corrections() == {"a": {"scale": "wide"}}


def write_on_a_full_disk(file):
    with Store(file, "1") as store:
        (pages,) = store._db.execute("PRAGMA page_count").fetchone()
        store._db.execute(f"PRAGMA max_page_count = {pages}")
        store.correct({f"{number}" * 500: {"scale": "wide"} for number in range(2000)})


def test_a_lock_file_that_cannot_be_written_is_told(file):
    file.with_name("scan.lock").mkdir()
    with (
        pytest.raises(BadInput, match=r"scan\.lock.*cannot be read or written"),
        Store(file, "1") as store,
        store.scanning(),
    ):
        pass


def test_a_strangers_database_behind_a_link_is_not_touched(tmp_path):
    with closing(sqlite3.connect(tmp_path / "recipes.db")) as db:
        db.execute("CREATE TABLE recipe (name TEXT)")
        db.commit()
    before = (tmp_path / "recipes.db").read_bytes()
    (tmp_path / "index.db").symlink_to("recipes.db")
    with pytest.raises(BadInput, match="some other program"):
        Store(tmp_path / "index.db", "1")
    assert (tmp_path / "recipes.db").read_bytes() == before


def test_a_view_in_an_index_is_never_asked(file):
    with closing(sqlite3.connect(file)) as db:
        db.execute("DROP TABLE refused")
        db.execute(
            "CREATE VIEW refused AS WITH RECURSIVE n(x) AS (SELECT 1 UNION ALL SELECT x FROM n) "
            "SELECT x AS path, x AS why FROM n"
        )
        db.commit()
    with pytest.raises(BadInput, match="some other program"):
        Store(file, "1")


def test_a_row_that_no_version_wrote_is_told_as_damage(file):
    """A path that is NULL although the schema forbids it, as a damaged page may have it."""
    with closing(sqlite3.connect(file, isolation_level=None)) as db:
        made = "SELECT sql FROM sqlite_master WHERE name = 'frame'"
        (before,) = db.execute(made).fetchone()
        db.execute("PRAGMA writable_schema = ON")
        loose = before.replace("NOT NULL", "")
        db.execute("UPDATE sqlite_master SET sql = ? WHERE name = 'frame'", (loose,))
    with closing(sqlite3.connect(file, isolation_level=None)) as db:
        db.execute("INSERT INTO frame (path) VALUES (NULL)")
        db.execute("PRAGMA writable_schema = ON")
        db.execute("UPDATE sqlite_master SET sql = ? WHERE name = 'frame'", (before,))
    with pytest.raises(BadInput, match=r"cannot be used \(NULL value in frame"), Store(file, "1") as store:
        [path.startswith("a") for path in store.known()]


def test_a_bug_of_ours_is_no_damage(file):
    with pytest.raises(ZeroDivisionError), Store(file, "1"):
        _ = 1 // 0


def test_a_damaged_name_in_the_schema_is_told(file):
    """SQLite quotes it in its message, and Python cannot read that message."""
    content = file.read_bytes().replace(b"CREATE TABLE refused", b"CREATE \xc5\x41BLE refused")
    file.write_bytes(content)
    with pytest.raises(BadInput, match=r"index\.db.*cannot be used"):
        Store(file, "1")


@pytest.mark.parametrize(("column", "value"), [("facts", "{}"), ("facts", "no JSON"), ("shot", "[1]"), ("shot", "7")])
def test_a_damaged_row_is_told_and_the_way_out_works(tmp_path, column, value):
    shoot(tmp_path, 2)
    run(tmp_path)
    from setsolver.usecases.snapshot import snapshot  # noqa: PLC0415 - loads long

    with closing(sqlite3.connect(tmp_path / ".setsolver" / "index.db")) as db:
        db.execute(f"UPDATE frame SET {column} = ? WHERE path = 'frame-001.png'", (value,))
        db.commit()
    with pytest.raises(BadInput, match=r"damaged row .*scan --again"):
        snapshot(tmp_path)
    run(tmp_path, force=True)
    assert len(snapshot(tmp_path).frames) == 2
    assert json.dumps([frame.path for frame in snapshot(tmp_path).frames])

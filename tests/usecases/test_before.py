"""What the version before wrote is read by this one; what comes after is refused with the way out."""

import json
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from setsolver.catalog import migrations
from setsolver.catalog.place import index_file
from setsolver.catalog.store import Store
from setsolver.errors import BadInput
from setsolver.usecases.compare import compare
from setsolver.usecases.learn import read_choices
from setsolver.usecases.reopened import brief_of
from setsolver.usecases.scan import scan
from setsolver.usecases.sets import load_outcome, load_set
from setsolver.usecases.tasks import READ
from setsolver.usecases.tastes import load_taste
from tests.catalog.fakes import measurer

BEFORE = Path(__file__).parents[1] / "data" / "before"


def test_an_outcome_of_the_version_before_is_read_and_its_brief_solved_for_again():
    outcome, found = load_set(f"{BEFORE / 'outcome.json'}#2")
    assert outcome.tool == "setsolver 0.1.0"
    assert (brief_of(outcome).size, len(found.frames)) == (3, 3)
    first, second = outcome.sets
    (pair,) = compare([("1", outcome, first), ("2", outcome, second)])["pairs"]
    assert pair["points"] == pytest.approx(second.score - first.score)


def test_choices_and_tastes_of_the_version_before_are_read():
    (choice,) = read_choices([BEFORE / "choices.jsonl"])
    assert choice.chosen == ("frame-0000.jpg",)
    assert load_taste(BEFORE / "taste.toml").weights


def test_an_index_of_the_version_before_keeps_what_was_said_and_what_was_measured(tmp_path):
    folder = tmp_path / "pottery"
    folder.mkdir()
    for number in range(2):
        shutil.copy2(BEFORE / f"pot-{number}.png", folder)
    file = index_file(folder)
    file.parent.mkdir(exist_ok=True)
    shutil.copy(BEFORE / "index.db", file)
    report = scan(folder, factory=measurer, workers=0)
    assert (report.frames, report.removed, report.refused) == (2, 0, ())
    with Store(file, *READ) as store:
        assert store.corrections() == {"pot-0.png": {"scale": "close", "stars": "4"}}
        assert [frame.path for frame in store.frames()] == ["pot-0.png", "pot-1.png"]


@pytest.mark.parametrize("done", range(1, len(migrations.STEPS)))
def test_an_index_of_any_schema_is_brought_up_to_date_with_its_corrections(tmp_path, done):
    file = tmp_path / "index.db"
    with closing(sqlite3.connect(file, isolation_level=None)) as db:
        db.execute("CREATE TABLE migration (number INTEGER PRIMARY KEY, name TEXT, made TEXT)")
        for _, statements in migrations.STEPS[:done]:
            for statement in statements:
                db.execute(statement)
        db.execute(f"PRAGMA user_version = {done}")
        columns = {name for _, name, *_ in db.execute("PRAGMA table_info(correction)")}
        said = {"path": "a.jpg", "scale": "close", "name": "scale", "value": "close", "digest": b""}
        kept = {name: value for name, value in said.items() if name in columns}
        db.execute(
            f"INSERT INTO correction ({', '.join(kept)}) VALUES ({', '.join('?' * len(kept))})", [*kept.values()]
        )
    with Store(file, *READ) as store:
        assert store.corrections() == {"a.jpg": {"scale": "close"}}


@pytest.mark.parametrize("change", [{"version": 99}, {"format": "setsolver/other"}, {"hung": "upside down"}])
def test_a_document_that_comes_after_is_refused_with_the_way_out(tmp_path, change):
    later = json.loads((BEFORE / "outcome.json").read_text(encoding="utf-8")) | change
    (tmp_path / "outcome.json").write_text(json.dumps(later), encoding="utf-8")
    with pytest.raises(BadInput, match=r"not an outcome that this version reads .*make it again"):
        load_outcome(tmp_path / "outcome.json")

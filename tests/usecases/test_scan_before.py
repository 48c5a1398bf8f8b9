"""A quick scan of an index that the version before wrote: nothing that it knows is lost until a full scan."""

import json
import sqlite3
from contextlib import closing
from dataclasses import replace

import numpy as np

from setsolver.catalog.place import index_file
from setsolver.catalog.store import Store
from setsolver.domain.measures import Appeal, Clip, Kind, Measures, Tuned
from setsolver.domain.origin import later
from setsolver.usecases.tasks import QUICK_VERSION, READ, VERSION
from tests.catalog import fakes
from tests.usecases.shoots import counts, run, shoot

SEEN = Clip(*(np.full(size, 0.5, np.float16) for size in (512, 768, 768)))
LAYERS = np.full(128, 0.25, np.float16)
OLD, NEW = Appeal(4.5, 0.5), Appeal(2.5, 0.25)
TUNED = Tuned(3.25, -0.5)
KIND = Kind(0.75, 0.125, 0.125)


def measuring(asked):
    """Return a measurer that says what it is asked, and measures appeal only of what CLIP and its layers say."""

    def measurer(rgb, known=None, due=()):
        asked.append((known, frozenset(due)))
        fresh = fakes.measure(np.zeros((48, 64, 3), np.uint8) if rgb is None else rgb)
        found = fresh if known is None else replace(known, **{name: getattr(fresh, name) for name in due})
        if "clip" in due:
            found = replace(found, clip=SEEN)
        if "layers" in due:
            found = replace(found, layers=LAYERS)
        if "tuned" in due:
            found = replace(found, tuned=TUNED)
        seen = found.clip is not None and found.layers is not None and found.tuned is not None
        if "appeal" in due:
            found = replace(found, appeal=NEW if seen else None)
        return replace(found, kind=KIND if found.clip is not None else None) if "kind" in due else found

    return lambda: measurer


def before(folder, change):
    """Rewrite every row as another version wrote it; ``change`` takes its facts and returns them with the version."""
    with closing(sqlite3.connect(index_file(folder))) as db, db:
        for key, facts in db.execute("SELECT id, facts FROM frame").fetchall():
            now, version = change(json.loads(facts))
            db.execute("UPDATE frame SET facts = ?, version = ? WHERE id = ?", (json.dumps(now), version, key))


def other(name, version):
    """Return the fingerprint of a version in which one measure was of another version."""
    return " ".join(f"{name}={version}" if part.startswith(f"{name}=") else part for part in VERSION.split())


def frames(folder):
    with Store(index_file(folder), *READ) as store:
        return [(frame.measures, store.known()[frame.path].version) for frame in store.frames()]


def scanned(folder, change):
    shoot(folder, 2)
    run(folder, factory=measuring([]))
    before(folder, change)
    asked = []
    report = run(folder, factory=measuring(asked), quick=True)
    assert (report.frames, report.refused) == (2, ())
    return asked


def test_appeal_of_layers_that_have_changed_stays_until_a_full_scan(tmp_path):
    asked = scanned(tmp_path, lambda facts: ({**facts, "appeal": [*OLD]}, other("layers", 0)))
    assert asked[0][1].isdisjoint({"appeal", *later(Measures)})
    for measures, version in frames(tmp_path):
        assert (measures.appeal, measures.kind, version) == (OLD, KIND, QUICK_VERSION)
        assert measures.layers is None  # of another version; nothing new may be told from them
        assert measures.clip is not None  # CLIP itself has not changed
    assert counts(run(tmp_path, factory=measuring([]))) == (0, 2, 0, 0)
    assert [(one.appeal, version) for one, version in frames(tmp_path)] == [(NEW, VERSION)] * 2


def test_all_that_clip_told_stays_where_clip_has_changed_and_what_can_do_without_is_measured(tmp_path):
    asked = scanned(tmp_path, lambda facts: ({**facts, "appeal": [*OLD]}, other("clip", 0)))
    known, due = asked[0]
    assert known.clip is None
    assert {"odds", "tilt"} <= due
    assert due.isdisjoint({"appeal", "kind", "people", *later(Measures)})
    assert [(one.appeal, one.kind, one.clip) for one, _ in frames(tmp_path)] == [(OLD, KIND, None)] * 2


def test_appeal_of_another_version_stays_where_the_layers_it_asks_for_were_never_there(tmp_path):
    """As in an index of before layers, figures and crop maps, whose rows do not even name them."""
    new = {"layers", "tuned", "figures", "crop_map", "people"}
    version = " ".join(part for part in other("appeal", 1).split() if part.partition("=")[0] not in new)

    def change(facts):
        return {k: v for k, v in facts.items() if k not in new} | {"appeal": [*OLD]}, version

    scanned(tmp_path, change)
    for measures, now in frames(tmp_path):
        assert (measures.appeal, measures.layers, measures.people, now) == (OLD, None, None, QUICK_VERSION)


def test_appeal_of_before_the_tuned_layers_stays_until_a_full_scan(tmp_path):
    version = " ".join(part for part in other("appeal", 2).split() if not part.startswith("tuned="))

    def change(facts):
        return {k: v for k, v in facts.items() if k != "tuned"} | {"appeal": [*OLD]}, version

    scanned(tmp_path, change)
    for measures, now in frames(tmp_path):
        assert (measures.appeal, measures.tuned, now) == (OLD, None, QUICK_VERSION)
        assert measures.layers is not None  # as kept
    run(tmp_path, factory=measuring([]))
    assert [(one.appeal, one.tuned, now) for one, now in frames(tmp_path)] == [(NEW, TUNED, VERSION)] * 2


def test_appeal_of_another_form_is_left_for_a_full_scan(tmp_path):
    scanned(tmp_path, lambda facts: ({**facts, "appeal": [4.5, 0.5, 1.0]}, other("layers", 0)))
    assert [one.appeal for one, _ in frames(tmp_path)] == [None, None]
    run(tmp_path, factory=measuring([]))
    assert [one.appeal for one, _ in frames(tmp_path)] == [NEW, NEW]


def test_appeal_that_needs_nothing_slow_is_measured_at_once(tmp_path):
    asked = scanned(tmp_path, lambda facts: ({**facts, "appeal": [*OLD]}, other("appeal", 1)))
    assert [due for _, due in asked] == [{"appeal"}] * 2
    assert [(one.appeal, version) for one, version in frames(tmp_path)] == [(NEW, VERSION)] * 2

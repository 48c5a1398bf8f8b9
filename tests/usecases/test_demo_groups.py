"""The demo catalog against its own truth: every burst found, no false pair."""

import json
import shutil
from itertools import combinations
from pathlib import Path

import pytest

from setsolver.usecases.scan import scan
from setsolver.usecases.snapshot import snapshot

DEMO = Path(__file__).parents[2] / "demo_catalog"


@pytest.fixture(scope="module")
def found(tmp_path_factory):
    """Measure a copy: whatever index the demo catalog has is left alone."""
    folder = tmp_path_factory.mktemp("demo") / "demo_catalog"
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns(".*", "make", "__pycache__"))
    scan(folder, workers=2)
    return snapshot(folder)


@pytest.fixture(scope="module")
def truth():
    frames = json.loads((DEMO / "truth.json").read_text())["frames"]
    return {frame["path"]: frame for frame in frames}


def alike(one, two):
    if one["burst"] and one["burst"] == two["burst"]:
        return True
    names = [{frame["path"], frame["near_duplicate"]} - {None} for frame in (one, two)]
    return bool(names[0] & names[1])


@pytest.mark.slow
def test_every_burst_is_found_and_no_pair_is_false(found, truth):
    expected = {(a, b) for a, b in combinations(sorted(truth), 2) if alike(truth[a], truth[b])}
    pairs = {tuple(sorted(found.frames[number].path for number in pair)) for pair in found.pairs}
    assert len(expected) >= 10
    assert pairs == expected


@pytest.mark.slow
def test_a_burst_is_one_moment_and_a_moment_one_burst(found, truth):
    moments = {frame.path: frame.moment for frame in found.frames}
    for one, two in combinations(sorted(truth), 2):
        assert (moments[one] == moments[two]) == alike(truth[one], truth[two]), (one, two)


@pytest.mark.slow
def test_nothing_of_the_demo_is_refused_and_every_frame_has_its_time(found, truth):
    assert found.refused == ()
    assert [frame.path for frame in found.frames] == sorted(truth)
    assert all(frame.shot.time is not None and frame.note == "" for frame in found.frames)

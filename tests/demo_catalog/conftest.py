"""The demo catalog, its truth, and what setsolver measures in it (scanned once, in a copy)."""

import json
import shutil
from pathlib import Path

import pytest

import setsolver

ROOT = Path(__file__).parents[2] / "demo_catalog"


@pytest.fixture(scope="session")
def demo():
    """Where the demo catalog lies."""
    return ROOT


@pytest.fixture(scope="session")
def truth():
    """truth.json as it stands."""
    return json.loads((ROOT / "truth.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="session")
def known(truth):
    """Truth of every frame by its path."""
    return {frame["path"]: frame for frame in truth["frames"]}


@pytest.fixture(scope="session")
def catalog(known, tmp_path_factory):
    """A copy of the frames, measured, so that the repository's folder stays as it is."""
    folder = tmp_path_factory.mktemp("demo")
    for path in known:
        (folder / path).parent.mkdir(exist_ok=True)
        shutil.copy2(ROOT / path, folder / path)
    opened = setsolver.Catalog.open(folder)
    opened.scan()
    return opened


@pytest.fixture(scope="session")
def snapshot(catalog):
    """All frames of the catalog with their groups and near-duplicates."""
    return catalog.snapshot()


@pytest.fixture(scope="session")
def frames(snapshot):
    """Measured frames by path."""
    return {frame.path: frame for frame in snapshot.frames}

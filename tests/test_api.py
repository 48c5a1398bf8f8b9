"""The root package: what it exports is a promise, so a change here is deliberate."""

import subprocess
import sys

import pytest

import setsolver

EXPORTS = [
    "Brief",
    "Catalog",
    "Outcome",
    "Problem",
    "Session",
    "SetsolverError",
    "Solution",
    "__version__",
    "solve",
    "suggest",
]


def test_the_exports_are_frozen():
    assert sorted(setsolver.__all__) == EXPORTS
    assert all(getattr(setsolver, name) is not None for name in EXPORTS)


def test_an_unknown_name_says_what_there_is():
    with pytest.raises(AttributeError, match="Catalog"):
        _ = setsolver.Catalogue


def test_importing_the_package_loads_no_engine():
    heavy = "('numba', 'ortools', 'cv2', 'scipy', 'pydantic')"
    script = f"import sys, setsolver; print([m for m in {heavy} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_brief_loads_by_name_and_keeps_its_kind():
    brief = setsolver.Brief.load("wall-three")
    assert brief.size == 3
    assert isinstance(brief, setsolver.Brief)

"""A package that brings a term, for the time of a test."""

import sys

import pytest

from setsolver.rules.registry import GROUP, terms

__all__ = ["bring"]


@pytest.fixture
def bring(tmp_path, monkeypatch):
    """Return what installs a package of one module with an entry point into a folder on the path."""

    def install(text, entry="odd = setsolver_odd:Odd"):
        (tmp_path / "setsolver_odd.py").write_text(text, encoding="utf-8")
        info = tmp_path / "setsolver_odd-1.0.dist-info"
        info.mkdir()
        (info / "METADATA").write_text("Metadata-Version: 2.1\nName: setsolver-odd\nVersion: 1.0\n", encoding="utf-8")
        (info / "entry_points.txt").write_text(f"[{GROUP}]\n{entry}\n", encoding="utf-8")
        monkeypatch.syspath_prepend(tmp_path)
        terms.cache_clear()

    yield install
    terms.cache_clear()
    sys.modules.pop("setsolver_odd", None)

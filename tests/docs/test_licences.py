"""Licences of every package that an installation brings, and of every file of weights: what is listed is there."""

import re
import tomllib
from importlib.metadata import distribution
from pathlib import Path

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).parents[2]
FREE = ("MIT", "BSD", "Apache", "PSF", "Python Software Foundation", "Zlib", "0BSD", "CC0", "ISC", "HPND", "MPL")
"""Licences that ask for a notice at most, as metadata calls them (MPL-2.0 asks it of its own files only)."""
LESSER = {"pi-heif", "pyvips-binary"}
"""Packages under the LGPL, 3 or later: libraries that are installed beside this package and linked when it runs."""


def declared():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    return [Requirement(text).name for text in project["dependencies"]]


def closure(names):
    found, todo = {}, list(names)
    while todo:
        key = re.sub(r"[-_.]+", "-", todo.pop()).lower()
        if key in found:
            continue
        found[key] = distribution(key)
        for text in found[key].requires or ():
            wanted = Requirement(text)
            if wanted.marker is None or wanted.marker.evaluate({"extra": ""}):
                todo.append(wanted.name)
    return found


def licence_of(package):
    meta = package.metadata
    classified = [c.rpartition(" :: ")[2] for c in meta.get_all("Classifier") or () if c.startswith("License ::")]
    plain = (meta.get("License") or "").strip().splitlines()[:1]
    return meta.get("License-Expression") or "; ".join(classified) or "".join(plain)


def test_every_package_of_an_installation_is_free_or_a_library_under_the_lgpl():
    wrong = {}
    for name, package in closure(declared()).items():
        licence = licence_of(package)
        lesser = re.search(r"LGPL|Lesser", licence)
        strict = re.search(r"A?GPL|General Public", licence)
        good = bool(lesser) if name in LESSER else not strict and any(word in licence for word in FREE)
        if not good:
            wrong[name] = licence
    assert wrong == {}


def test_the_table_of_licences_names_every_package_that_is_asked_for():
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = text.partition("<!-- licences -->")[2].partition("<!-- end -->")[0]
    rows = [line.strip("| ").split(" | ") for line in table.splitlines() if line.startswith("| ")][2:]
    listed = {name: licence for licence, names, *_ in rows for name in names.split(", ")}
    assert sorted(listed) == sorted(declared())
    for name, licence in listed.items():
        assert re.split(r"[ -]", licence)[0].lower() in licence_of(distribution(name)).lower().replace(
            "lesser general", "lgpl"
        )


@pytest.mark.parametrize(
    "file", sorted((ROOT / "setsolver" / "models").glob("*.[on]*[xz]")), ids=lambda file: file.name
)
def test_every_file_of_weights_has_its_licence(file):
    notice = (ROOT / "setsolver" / "models" / "NOTICE.md").read_text(encoding="utf-8")
    (row,) = [line for line in notice.splitlines() if line.startswith(f"| {file.name} |")]
    licence = row.split(" | ")[2]
    assert licence.startswith(("Apache-2.0", "MIT"))

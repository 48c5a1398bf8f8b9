"""Files of tests that read a module, by their text: what is tried where no map tells which tests touch which lines."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

__all__ = ["readers_of"]

_MOST = 8
"""Files of other folders that are tried, the shortest first."""


def readers_of(project: Path, file: str, apart: tuple[str, ...]) -> list[list[str]]:
    """Return files of tests: of its own folder that import a module, of others, and that import what imports it.

    Where there is none at all, the shortest of its folder.
    """
    module = file.removesuffix(".py").removesuffix("/__init__").replace("/", ".")
    own = f"tests/{Path(file).parent.relative_to('setsolver').as_posix()}/"
    texts = _texts(project)
    found = _that_import({module}, texts, "tests/", apart)
    users = {
        one.removesuffix(".py").removesuffix("/__init__") for one in _that_import({module}, texts, "setsolver/", ())
    }
    further = _that_import({one.replace("/", ".") for one in users}, texts, "tests/", apart)
    further = sorted({*further} - {*found}, key=lambda one: (not one.startswith(own), len(texts[one])))[:_MOST]
    if not found and not further:
        found = sorted((one for one in texts if one.startswith(f"{own}test_")), key=lambda one: len(texts[one]))
    mirrored = [one for one in found if one.startswith(own)]
    return [mirrored, [one for one in found if one not in mirrored][:_MOST], further]


def _that_import(modules: set[str], texts: dict[str, str], where: str, apart: tuple[str, ...]) -> list[str]:
    if not modules:
        return []
    names = [(re.escape(one.rpartition(".")[0]), re.escape(one.rpartition(".")[2]), re.escape(one)) for one in modules]
    says = "|".join(rf"(?:from|import) {whole}\b|from {parent} import [^\n]*\b{own}\b" for parent, own, whole in names)
    pattern = re.compile(rf"^\s*(?:{says})", re.MULTILINE)
    found = [file for file, text in texts.items() if file.startswith(where) and pattern.search(text)]
    return sorted(
        (one for one in found if not one.startswith(apart) and (where != "tests/" or "/test_" in one)),
        key=lambda one: len(texts[one]),
    )


@cache
def _texts(project: Path) -> dict[str, str]:
    files = [*project.glob("tests/**/*.py"), *project.glob("setsolver/**/*.py")]
    return {one.relative_to(project).as_posix(): one.read_text(encoding="utf-8") for one in files}

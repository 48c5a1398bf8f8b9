"""The layout kinds there are: every file of this package that exports ``KIND``, found by looking."""

from __future__ import annotations

from functools import cache
from importlib import import_module
from pkgutil import iter_modules

from setsolver.errors import BadBrief
from setsolver.layout.kind import Kind

__all__ = ["kind_named", "kinds"]


@cache
def kinds() -> dict[str, Kind]:
    """Return every kind by its name, in order of the alphabet."""
    package = import_module("setsolver.layout")
    modules = (import_module(f"{package.__name__}.{found.name}") for found in iter_modules(package.__path__))
    found = [module.KIND for module in modules if hasattr(module, "KIND")]
    return {kind.name: kind for kind in sorted(found, key=lambda kind: kind.name)}


def kind_named(name: str) -> Kind:
    """Return a kind by its name.

    Raises
    ------
    BadBrief
        Where there is no such kind.
    """
    if name not in kinds():
        raise BadBrief(f'layout.kind = "{name}"; allowed: {", ".join(kinds())}', ("layout", "kind"))
    return kinds()[name]

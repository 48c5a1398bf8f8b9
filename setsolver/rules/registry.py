"""All terms that there are: every class in a file of this folder, and those that other installed packages bring.

A package brings a term by an entry point in the group ``setsolver.terms`` that leads to its class.
"""

from __future__ import annotations

import inspect
import json
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules
from typing import Any

from pluggy import PluginManager

from setsolver.domain.brief import Brief, Weights
from setsolver.errors import BadTerm
from setsolver.rules.term import Term
from setsolver.rules.words import in_a_row, nearest

__all__ = ["GROUP", "faults_of", "rule_names", "terms", "weight_names", "weights_of"]

GROUP = "setsolver.terms"
_WEIGHTS, _RULES = "weights.", "rules."


@cache
def terms() -> tuple[Term, ...]:
    """Return one of each term, in the order in which they speak.

    Raises
    ------
    BadTerm
        Where another package's term cannot be loaded, is none, or takes a name that is taken.
    """
    found = [kind() for kind in (*_own(), *_brought())]
    for term in found:
        twins = [other for other in found if other.name == term.name]
        if len(twins) > 1:
            raise BadTerm(
                f"two terms are called {term.name}: {in_a_row([type(twin).__module__ for twin in twins])}; "
                "uninstall one of the packages that bring them"
            )
    return tuple(sorted(found, key=lambda term: (term.rank, term.name)))


def _own() -> Iterator[type[Term]]:
    for module in iter_modules([str(Path(__file__).parent)]):
        yield from _in_module(import_module(f"{__package__}.{module.name}"))


def _in_module(module: Any) -> list[type[Term]]:
    """Return the classes of terms that a module itself defines, bases of such left out."""
    classes = [kind for _, kind in inspect.getmembers(module, inspect.isclass) if kind.__module__ == module.__name__]
    return [kind for kind in classes if issubclass(kind, Term) and not inspect.isabstract(kind)]


def _brought() -> Iterator[type[Term]]:
    manager = PluginManager("setsolver")
    try:
        manager.load_setuptools_entrypoints(GROUP)
    except Exception as error:
        raise BadTerm(
            f"a package that brings a term (entry point group {GROUP}) cannot be loaded: {type(error).__name__}: "
            f"{error}; mend or uninstall it"
        ) from error
    for name, brought in manager.list_name_plugin():
        if not (inspect.isclass(brought) and issubclass(brought, Term) and not inspect.isabstract(brought)):
            raise BadTerm(
                f"the entry point {name} of the group {GROUP} leads to {brought!r}, which is no class of a term; "
                "let it lead to a subclass of setsolver.rules.Term that defines all of it"
            )
        yield brought


def _pays(term: Term) -> bool:
    return term.key.startswith(_WEIGHTS)


def weight_names() -> tuple[str, ...]:
    """Return the keys of a brief's [weights] that some term has."""
    return tuple(term.key.removeprefix(_WEIGHTS) for term in terms() if _pays(term))


def weights_of(found: Iterable[Term], weights: Weights) -> Mapping[str, float]:
    """Return the points that a brief gives for one unit of each term that pays, by the term's name."""
    return {term.name: weights.of(term.key.removeprefix(_WEIGHTS)) for term in found if _pays(term)}


def _ruling() -> dict[str, Term]:
    return {term.key.removeprefix(_RULES): term for term in terms() if term.key.startswith(_RULES)}


def rule_names() -> tuple[str, ...]:
    """Return the keys of a brief's [rules] that some term has."""
    return tuple(_ruling())


def faults_of(brief: Brief) -> dict[tuple[str, str], str]:
    """Return a sentence for each weight and each rule of a brief that no term has or takes, by table and key."""
    weights, ruling = weight_names(), _ruling()
    found = {
        ("weights", name): _unknown(name, "weights", weights) for name in brief.weights.further if name not in weights
    }
    for name, value in brief.rules.given.items():
        if name not in ruling:
            found["rules", name] = _unknown(name, "rules", tuple(ruling))
        elif allowed := ruling[name].check(value):
            found["rules", name] = f"rules.{name} = {json.dumps(value)}; allowed: {allowed}"
    return found


def _unknown(name: str, table: str, known: tuple[str, ...]) -> str:
    says, near = f'"{name}" is no key of [{table}]', nearest(name, known)
    if not known:
        return f"{says}: no installed package brings a rule; take it out, or install the package that brings it"
    return f"{says}{near}{' Its' if near else '; its'} keys are {in_a_row(known)}"

"""Where a measure comes from: its version, what it is told from, and what of an older record is still true."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import MISSING, Field, field
from functools import cache
from graphlib import TopologicalSorter
from typing import Any, ClassVar, NamedTuple, Protocol

__all__ = ["Origin", "due", "fingerprint", "in_order", "later", "measured", "origins", "waiting"]

_ORIGIN = "origin"


class Origin(NamedTuple):
    """version : raised when the feature finds something else in the same frame. reads : other measures it is told from.

    pixels : whether it needs the frame's pixels too. later : whether a quick scan leaves it for another time.
    """

    version: str
    reads: tuple[str, ...]
    pixels: bool
    later: bool


class Record(Protocol):
    """A dataclass whose fields say by ``measured`` where they come from."""

    __dataclass_fields__: ClassVar[dict[str, Field[Any]]]


def measured(version: str, *reads: str, pixels: bool = True, later: bool = False, default: Any = MISSING) -> Any:
    """Return a dataclass field with its ``Origin``; what is not given has ``default``."""
    return field(default=default, metadata={_ORIGIN: Origin(version, reads, pixels, later)})


@cache
def origins(record: type[Record]) -> Mapping[str, Origin]:
    """Return where each field of a record comes from, those that others are told from first.

    Raises
    ------
    CycleError (a ValueError)
        Where measures are told from each other in a circle.
    """
    found = {name: one.metadata[_ORIGIN] for name, one in record.__dataclass_fields__.items()}
    return {name: found[name] for name in TopologicalSorter({n: o.reads for n, o in found.items()}).static_order()}


def in_order(record: type[Record], names: Collection[str]) -> tuple[str, ...]:
    """Return names of fields in the order in which they can be measured."""
    return tuple(name for name in origins(record) if name in names)


def later(record: type[Record]) -> frozenset[str]:
    """Return the fields that a quick scan leaves for another time."""
    return frozenset(name for name, origin in origins(record).items() if origin.later)


def waiting(record: type[Record], left: Collection[str]) -> frozenset[str]:
    """Return the fields that tell nothing without what is left for another time: optional, and told from any of it.

    A field without a default is told from what there is.
    """
    found = set[str]()
    for name, origin in origins(record).items():
        optional = record.__dataclass_fields__[name].default is not MISSING
        if not origin.later and optional and not ({*left} | found).isdisjoint(origin.reads):
            found.add(name)
    return frozenset(found)


def fingerprint(record: type[Record], without: Collection[str] = ()) -> str:
    """Return the versions of all fields in one line, such as "detail=1 tone=2"; those left out are not in it."""
    return " ".join(sorted(f"{name}={one.version}" for name, one in origins(record).items() if name not in without))


@cache
def due(record: type[Record], known: str) -> frozenset[str]:
    """Return what has to be measured again in a row of this fingerprint: what changed, and all that is told from it."""
    have = dict(part.partition("=")[::2] for part in known.split())
    found = set[str]()
    for name, origin in origins(record).items():
        if have.get(name) != origin.version or not found.isdisjoint(origin.reads):
            found.add(name)
    return frozenset(found)

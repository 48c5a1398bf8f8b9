"""Measures and metadata to and from the index: numbers as JSON, arrays as blobs, whatever types the record has."""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict, fields
from datetime import datetime
from functools import cache
from types import NoneType, UnionType
from typing import Any, NamedTuple, Union, get_args, get_origin, get_type_hints

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.frame import Shot
from setsolver.domain.measures import Measures
from setsolver.errors import BadInput

__all__ = ["Array", "array_of", "pack_measures", "pack_shot", "unpack_measures", "unpack_shot"]


class Array(NamedTuple):
    """An array as the index keeps it. kind : NumPy's, little-endian, such as "<f2". shape : such as "6,6,100"."""

    kind: str
    shape: str
    value: bytes


def pack_measures(measures: Measures) -> tuple[str, dict[str, Array]]:
    """Return a record's numbers as JSON, and its arrays by name: of the field, and of what in it ("tiles.neutral")."""
    arrays: dict[str, Array] = {}
    plain = {one.name: _plain(getattr(measures, one.name), one.name, arrays) for one in fields(Measures)}
    return json.dumps(plain, separators=(",", ":"), default=float), arrays


def unpack_measures(
    text: str, arrays: Mapping[str, Array], without: Collection[str] = (), older: Collection[str] = ()
) -> Measures:
    """Return the record from ``pack_measures``; arrays are read-only views of the blobs.

    without : fields that are None in it, whatever was stored: those that another version stored in another form.
    older : fields that another version stored; None in it where that version had none, or one of another form.
    """
    with _damage_told():
        plain = json.loads(text)
        values: dict[str, Any] = {}
        for name, load in _loaders(Measures).items():
            if name in older:
                values[name] = _older(load, plain, name, arrays)
            else:
                values[name] = None if name in without else load(plain[name], name, arrays)
        return Measures(**values)


def pack_shot(shot: Shot) -> str:
    """Return a shot as JSON, absent fields left out; where its time is from is told when it is read."""
    known = {name: value for name, value in asdict(shot).items() if value is not None and value != ()}
    del known["time_from"]
    return json.dumps(known, default=datetime.isoformat)


def unpack_shot(text: str) -> Shot:
    """Return the shot from ``pack_shot``."""
    with _damage_told():
        known = json.loads(text)
        if "time" in known:
            known["time"] = datetime.fromisoformat(known["time"])
        known["keywords"] = tuple(known.get("keywords", ()))
        return Shot(**known)


def _older(load: Loader, plain: Mapping[str, Any], name: str, arrays: Mapping[str, Array]) -> Any:
    """Return what another version stored, None where this one cannot read it: there is nothing to say of that."""
    try:
        return load(plain[name], name, arrays)
    except _UNREADABLE:
        return None


_UNREADABLE = (AttributeError, IndexError, KeyError, TypeError, ValueError)


@contextmanager
def _damage_told() -> Iterator[None]:
    """Say of a row that no version wrote it so; the index itself may be sound (SQLite knows nothing of values)."""
    try:
        yield
    except _UNREADABLE as error:
        raise BadInput(
            f"the index holds a damaged row ({type(error).__name__}: {error}); scan --again measures it anew"
        ) from error


def array_of(array: Array) -> NDArray[Any]:
    """Return the array, a read-only view of its blob."""
    shape = tuple(map(int, array.shape.split(","))) if array.shape else ()
    return np.frombuffer(array.value, dtype=array.kind).reshape(shape)


def _plain(value: Any, name: str, arrays: dict[str, Array]) -> Any:
    """Return what JSON can hold of a value; arrays, and whole numbers too large for it, go among the arrays."""
    if isinstance(value, np.ndarray | np.uint64):
        array = np.asarray(value, order="C")
        kind = array.dtype.newbyteorder("<")
        arrays[name] = Array(kind.str, ",".join(map(str, array.shape)), array.astype(kind, copy=False).tobytes())
        return None
    if isinstance(value, tuple):
        names = getattr(value, "_fields", range(len(value)))
        return [_plain(part, f"{name}.{key}", arrays) for key, part in zip(names, value, strict=True)]
    return value


Loader = Callable[[Any, str, Mapping[str, Array]], Any]


@cache
def _loaders(record: type[Any]) -> dict[str, Loader]:
    """Return what loads each field of a dataclass or named tuple, by name."""
    return {name: _loader(hint) for name, hint in get_type_hints(record).items()}


def _loader(hint: Any) -> Loader:
    kind = get_origin(hint)
    if kind in (Union, UnionType):
        (inner,) = (part for part in get_args(hint) if part is not NoneType)
        load = _loader(inner)
        return lambda plain, name, arrays: None if plain is None and name not in arrays else load(plain, name, arrays)
    if kind is np.ndarray:
        return lambda _, name, arrays: array_of(arrays[name])
    if hint is np.uint64:
        return lambda _, name, arrays: array_of(arrays[name])[()]
    if kind is tuple:
        part = _loader(get_args(hint)[0])
        return lambda plain, name, arrays: tuple(part(one, f"{name}.{k}", arrays) for k, one in enumerate(plain))
    if isinstance(hint, type) and issubclass(hint, tuple):
        return _named(hint)
    return lambda plain, _name, _arrays: plain


def _named(hint: type[tuple[Any, ...]]) -> Loader:
    parts = _loaders(hint)

    def load(plain: Any, name: str, arrays: Mapping[str, Array]) -> Any:
        return hint(*(one(p, f"{name}.{key}", arrays) for p, (key, one) in zip(plain, parts.items(), strict=True)))

    return load

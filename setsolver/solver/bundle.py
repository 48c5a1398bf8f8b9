"""Records of arrays that kernels take as one pointer.

Numba hands a named tuple of arrays over field by field, seven machine words an array; with the sixty arrays of a
workspace every call and every access cost a second of compiling. A bundle is one block of words: where each array lies
and how long it is, and the numbers as they are. Kernels read a field from there when they use it. Fields are never set
again, which the loads say, so that they leave loops.
"""

from __future__ import annotations

import zlib
from dataclasses import dataclass, fields
from functools import cache
from typing import TYPE_CHECKING, Any, dataclass_transform

import numpy as np
from llvmlite import ir
from numba import typeof
from numba.core import types
from numba.core.datamodel import models
from numba.core.typing.templates import AttributeTemplate, infer_getattr
from numba.extending import NativeValue, lower_getattr_generic, register_model, typeof_impl, unbox
from numba.np.numpy_support import as_dtype, from_dtype

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["Bundle"]

WORD = 8


@dataclass_transform(frozen_default=True)
class Bundle:
    """Base of records for kernels. A subclass is a frozen dataclass of arrays (C order), numbers and other bundles.

    Attributes
    ----------
    address : of the block of words. The arrays may be written to, but no field may be set again.
    """

    address: int

    def __init_subclass__(cls) -> None:
        """Make a dataclass of a subclass, and known to numba."""
        dataclass(frozen=True, eq=False)(cls)
        typeof_impl.register(cls)(_type_of)

    def __post_init__(self) -> None:
        """Lay out the words."""
        words = np.array([word for value in _values(self) for word in _words(value)], dtype=np.int64)
        object.__setattr__(self, "_words", words)  # keeps the block alive
        object.__setattr__(self, "address", words.ctypes.data)


def _values(record: Bundle) -> Iterator[Any]:
    return (getattr(record, field.name) for field in fields(record))  # type: ignore[arg-type]  # a dataclass once derived


def _words(value: Any) -> list[int]:
    """Return a field's words: of an array where it lies and its shape; of a number its bits."""
    if isinstance(value, Bundle):
        return [value.address]
    if isinstance(value, np.ndarray):
        if not (value.flags.c_contiguous and value.flags.aligned):
            raise ValueError(f"an array of shape {value.shape} is not in C order; kernels read it as if it were")
        return [value.ctypes.data, *value.shape]
    if isinstance(value, float):
        return [int(np.float64(value).view(np.int64))]
    return [int(value)]


class BundleType(types.Type):
    """``places`` : name -> (number of its first word, type)."""

    def __init__(self, name: str, parts: tuple[tuple[str, types.Type], ...]) -> None:
        self.places: dict[str, tuple[int, types.Type]] = {}
        at = 0
        for part, kind in parts:
            self.places[part] = (at, kind)
            at += 1 + (kind.ndim if isinstance(kind, types.Array) else 0)
        super().__init__(f"{name}_{zlib.crc32(repr(parts).encode()):08x}")


def _type_of(record: Bundle, _: object) -> BundleType:
    """Return the record's type, worked out once a record: numba asks at every call."""
    found: BundleType | None = getattr(record, "_type", None)
    if found is None:
        names = tuple(field.name for field in fields(record))  # type: ignore[arg-type]
        found = _bundle_type(type(record).__name__, names, tuple(map(_kind, _values(record))))
        object.__setattr__(record, "_type", found)
    return found


@cache
def _bundle_type(name: str, parts: tuple[str, ...], kinds: tuple[types.Type, ...]) -> BundleType:
    return BundleType(name, tuple(zip(parts, kinds, strict=True)))


def _kind(value: Any) -> types.Type:
    if isinstance(value, np.ndarray):  # one kind whether it may be written to or not
        return _array_type(value.dtype, value.ndim)
    if isinstance(value, Bundle):
        return _type_of(value, None)
    return typeof(value)  # type: ignore[no-any-return]  # numba has no types


@cache
def _array_type(dtype: np.dtype[Any], dimensions: int) -> types.Type:
    return types.Array(from_dtype(dtype), dimensions, "C")


register_model(BundleType)(models.OpaqueModel)


@infer_getattr
class _Fields(AttributeTemplate):  # type: ignore[misc]  # numba has no types
    key = BundleType

    def generic_resolve(self, record: BundleType, name: str) -> types.Type | None:
        return record.places[name][1] if name in record.places else None


@unbox(BundleType)  # type: ignore[untyped-decorator]
def _unbox(_: BundleType, record: Any, c: Any) -> NativeValue:
    address = c.pyapi.object_getattr_string(record, "address")
    pointer = c.pyapi.long_as_voidptr(address)
    c.pyapi.decref(address)
    return NativeValue(pointer)


@lower_getattr_generic(BundleType)  # type: ignore[untyped-decorator]
def _read(context: Any, builder: Any, record: BundleType, pointer: Any, name: str) -> Any:
    at, kind = record.places[name]
    if not isinstance(kind, types.Array):
        return _number(builder, kind, _word(builder, pointer, at))
    return _array(context, builder, kind, [_word(builder, pointer, at + part) for part in range(1 + kind.ndim)])


def _array(context: Any, builder: Any, kind: types.Array, words: list[Any]) -> Any:
    """Return numba's record of an array from where it lies and its shape; what is constant costs no instruction."""
    place = context.data_model_manager[kind].get_field_position
    size = ir.Constant(words[0].type, as_dtype(kind.dtype).itemsize)
    shape, count, strides = words[1:], words[1], [size]
    for length in reversed(shape[1:]):
        strides.insert(0, builder.mul(strides[0], length))
        count = builder.mul(count, length)
    made = ir.Constant(context.get_value_type(kind), None)  # all zero: nothing is counted
    made = builder.insert_value(made, size, place("itemsize"))
    made = builder.insert_value(made, count, place("nitems"))
    made = builder.insert_value(
        made, builder.inttoptr(words[0], context.get_data_type(kind.dtype).as_pointer()), place("data")
    )
    for axis, (length, stride) in enumerate(zip(shape, strides, strict=True)):
        made = builder.insert_value(made, length, [place("shape"), axis])
        made = builder.insert_value(made, stride, [place("strides"), axis])
    return made


def _word(builder: Any, pointer: Any, at: int) -> Any:
    base = builder.bitcast(pointer, ir.IntType(64).as_pointer())
    word = builder.load(builder.gep(base, [ir.Constant(ir.IntType(64), at)]))
    word.set_metadata("invariant.load", builder.module.add_metadata([]))
    return word


def _number(builder: Any, kind: types.Type, word: Any) -> Any:
    if isinstance(kind, types.Float):
        return builder.bitcast(word, ir.DoubleType())
    if isinstance(kind, types.Boolean):
        return builder.icmp_unsigned("!=", word, ir.Constant(word.type, 0))
    if isinstance(kind, BundleType):
        return builder.inttoptr(word, ir.IntType(8).as_pointer())
    return word

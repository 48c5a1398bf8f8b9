"""Loads and stores for compiled loops: so marked, the compiler works on many pixels at once.

LLVM turns a loop over pixels into vector instructions only where it knows that what is stored is not what is loaded. Of
a look-up by a computed place it never knows. These functions tell it, by scopes of aliases (LLVM Language
Reference, "noalias" and "alias.scope" metadata); tone on prints takes a fifth of the time for it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from numba import types
from numba.core import cgutils
from numba.extending import intrinsic

__all__ = ["looked", "most", "own", "put"]


def _inlined(function: Callable[..., Any]) -> Callable[..., Any]:
    """Mark what stands for a few instructions in compiled code."""
    marked: Callable[..., Any] = intrinsic(function)
    return marked


def _scopes(module: Any) -> Any:
    domain = module.add_metadata(["setsolver"])
    return module.add_metadata([module.add_metadata(["loaded", domain])])


def _place(context: Any, builder: Any, kind: Any, array: Any, index: Any) -> Any:
    """Return the address of an entry by its number in memory, whatever the array's shape."""
    data = context.make_array(kind)(context, builder, array).data
    wide = index if index.type.width == cgutils.intp_t.width else builder.zext(index, cgutils.intp_t)
    return builder.gep(data, [wide])


def _loading(array: Any, index: Any, scope: str) -> Any:
    """Return type and code of a load of ``array.ravel()[index]``.

    Parameters
    ----------
    scope : "alias.scope" of what no store changes, "noalias" of what a store may have changed.
    """

    def codegen(context: Any, builder: Any, signature: Any, given: Any) -> Any:
        loaded = builder.load(_place(context, builder, signature.args[0], *given))
        loaded.set_metadata(scope, _scopes(builder.module))
        return loaded

    return array.dtype(array, index), codegen


@_inlined
def looked(_typing: Any, array: Any, index: Any) -> Any:
    """Return ``array.ravel()[index]`` of a C-contiguous array that no ``put`` of the same function fills."""
    return _loading(array, index, "alias.scope")


@_inlined
def put(_typing: Any, array: Any, index: Any, value: Any) -> Any:  # noqa: ARG001 - the value's type is the array's
    """Set ``array.ravel()[index]`` of a C-contiguous array that no ``looked`` of the same function reads."""

    def codegen(context: Any, builder: Any, signature: Any, given: Any) -> Any:
        stored = builder.store(given[2], _place(context, builder, signature.args[0], *given[:2]))
        stored.set_metadata("noalias", _scopes(builder.module))
        return context.get_dummy_value()

    return types.void(array, index, array.dtype), codegen


@_inlined
def own(_typing: Any, array: Any, index: Any) -> Any:
    """Return ``array.ravel()[index]`` of a C-contiguous array that a ``put`` of the same function fills."""
    return _loading(array, index, "noalias")


@_inlined
def most(_typing: Any, array: Any) -> Any:
    """Return the most that an array of unsigned integers holds, float32; known when the loop is compiled."""

    def codegen(context: Any, _builder: Any, _signature: Any, _given: Any) -> Any:
        return context.get_constant(types.float32, 2**array.dtype.bitwidth - 1)

    return types.float32(array), codegen

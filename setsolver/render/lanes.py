"""Loads and stores for compiled loops: so marked, the compiler works on many pixels at once.

LLVM turns a loop over pixels into vector instructions only where it knows that what is stored is not what is loaded. Of
a look-up by a computed place it never knows. These functions tell it, by scopes of aliases (LLVM Language
Reference, "noalias" and "alias.scope" metadata); tone on prints takes a fifth of the time for it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from llvmlite import ir
from numba import types
from numba.core import cgutils
from numba.extending import intrinsic

__all__ = ["SQUARE", "between", "looked", "most", "own", "put", "turn"]

SQUARE: Final = 8
"""Rows and columns of what ``turn`` turns at a time: sixteen vectors of so many floats stay in registers."""


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
def between(_typing: Any) -> Any:
    """Stand between two loops of which the second looks at what the first put: nothing is moved across it."""

    def codegen(context: Any, builder: Any, _signature: Any, _given: Any) -> Any:
        builder.fence("seq_cst", targetscope="singlethread")
        return context.get_dummy_value()

    return types.void(), codegen


@_inlined
def turn(_typing: Any, source: Any, at: Any, pitch: Any, result: Any, out: Any, width: Any) -> Any:
    """Put a square of ``source``, from entry ``at`` on, into ``result``, from ``out`` on, rows as columns; float32.

    pitch, width : entries from row to row of source and result, 64 bits as both places are. By halves, quarters and
    eighths: vectors exchange parts that far apart (Eklundh, IEEE Trans. Comput. C-21, 1972).
    """

    def codegen(context: Any, builder: Any, signature: Any, given: Any) -> Any:
        source, at, pitch, result, out, width = given
        rows = [
            builder.load(vector, align=4) for vector in _rows(context, builder, signature.args[0], source, at, pitch)
        ]
        step = SQUARE // 2
        while step:
            near, far = ([_lane(i, step, moved) for i in range(SQUARE)] for moved in (0, step))
            lanes = ir.VectorType(ir.IntType(32), SQUARE)
            for i in range(SQUARE):
                if not i & step:
                    pair = rows[i], rows[i + step]
                    rows[i] = builder.shuffle_vector(*pair, ir.Constant(lanes, near))
                    rows[i + step] = builder.shuffle_vector(*pair, ir.Constant(lanes, far))
            step //= 2
        for row, vector in zip(rows, _rows(context, builder, signature.args[3], result, out, width), strict=True):
            builder.store(row, vector, align=4)
        return context.get_dummy_value()

    return types.void(source, at, pitch, result, out, width), codegen


def _lane(i: int, step: int, moved: int) -> int:
    """Return where lane i comes from: the first of two vectors, ``moved`` on, or the second."""
    return i + moved if not i & step else SQUARE + i - step + moved


def _rows(context: Any, builder: Any, kind: Any, array: Any, index: Any, pitch: Any) -> list[Any]:
    """Return the addresses of a square's rows, as vectors."""
    vector = ir.VectorType(ir.FloatType(), SQUARE).as_pointer()
    places = [builder.add(index, builder.mul(pitch, ir.Constant(pitch.type, i))) for i in range(SQUARE)]
    return [builder.bitcast(_place(context, builder, kind, array, place), vector) for place in places]


@_inlined
def most(_typing: Any, array: Any) -> Any:
    """Return the most that an array of unsigned integers holds, float32; known when the loop is compiled."""

    def codegen(context: Any, _builder: Any, _signature: Any, _given: Any) -> Any:
        return context.get_constant(types.float32, 2**array.dtype.bitwidth - 1)

    return types.float32(array), codegen

"""Compiled passes over a tile, one after the other in one call: between calls, threads wait for each other.

While a call runs, another thread has the interpreter; each end of a call asks for it back. Passes of ``filtering``,
``sliding`` and ``conversion`` that follow each other are therefore called from here.
"""

from __future__ import annotations

from typing import Any

from numpy.typing import NDArray

from setsolver.render.compiled import Floats, compiled, inlined
from setsolver.render.conversion import coded, graded, stepped
from setsolver.render.filtering import down, folded, transposed
from setsolver.render.lanes import between, looked, own, put
from setsolver.render.sliding import slid

__all__ = ["as_codes", "as_steps", "level", "turned"]


@compiled
def level(part: Floats, rows: int, across: Any, upright: Any, room: Any, result: Floats) -> None:
    """Resample along rows and then along columns, as ``filtering.down`` does.

    Parameters
    ----------
    part : float32[3, w, n], columns as rows, of which the first ``rows`` count.
    across, upright : first source pixel and weights of each column and of each row.
    room : float32[3, columns, n] and float32[3, rows, columns or more], for what lies between.
    result : float32[3, rows of the result, columns], filled.
    """
    first, second = room
    down(part, across[0], across[1], first)
    between()
    transposed(first, rows, second)
    between()
    down(second, upright[0], upright[1], result)


@compiled
def turned(part: Floats, rows: int, across: Any, upright: Any, room: Any, result: Floats) -> None:
    """Resample on a turned grid, as ``sliding.slid`` does twice.

    across, upright : start, step, lean and parts of the first and of the second pass; all else as in ``level``.
    """
    first, second = room
    slid(part, across[0], across[1], across[2], across[3], first)
    between()
    transposed(first, rows, second)
    between()
    slid(second, upright[0], upright[1], upright[2], upright[3], result)


@inlined
def _graded(light: Any, how: Any, grain: Any, room: Any) -> Any:
    """Fill ``lab``, toned and with its grain, and return its L* blurred, with the same grain; all else as below."""
    tone, blur, _, _ = how
    matrix, curve, colour = tone
    lab, between_folds = room
    _, height, width = light.shape
    margin = blur.size - 1
    graded(light, matrix, curve, colour, lab)
    between()
    lightness, folds, blurred = lab[0], between_folds[0], between_folds[1]
    if margin > 0:
        folded(lightness, blur, width, (margin, height - margin, 0, width), folds)
        between()
        folded(folds, blur, 1, (margin, height - margin, margin, width - margin), blurred)
        between()
        _added(grain, blurred)
    else:
        blurred = lightness
    _added(grain, lightness)
    between()
    return blurred


@inlined
def _added(grain: Any, plane: Any) -> None:
    for i in range(grain.size):
        put(plane, i, own(plane, i) + looked(grain, i))


@compiled
def as_codes(light: Floats, how: Any, grain: Floats, room: Any, result: NDArray[Any], place: tuple[int, int]) -> None:
    """Turn a tile's light into sRGB codes: toned, sharpened, with its grain.

    Parameters
    ----------
    light : float32[3, h, w].
    how : tone (matrix, curve and colour, as ``conversion.graded`` takes them); float32[margin + 1], half the kernel of
    a blur, the middle first, 1 alone for none; sharp and matrix, as ``conversion.coded`` takes them.
    grain : float32[h, w], added to L* after sharpening, which leaves it alone; of no size for none.
    room : float32[3, h, w] and float32[2, h, w], for what lies between. result, place : as ``conversion.coded``.
    """
    blurred = _graded(light, how, grain, room)
    _, blur, sharp, matrix = how
    coded(room[0], blurred, blur.size - 1, sharp, matrix, result, place)


@compiled
def as_steps(light: Floats, how: Any, grain: Floats, room: Any, result: NDArray[Any], place: tuple[int, int]) -> None:
    """Turn a tile's light into steps of L*a*b*, as ``conversion.stepped`` gives them; all else as ``as_codes``."""
    blurred = _graded(light, how, grain, room)
    _, blur, sharp, matrix = how
    stepped(room[0], blurred, blur.size - 1, sharp, matrix, result, place)

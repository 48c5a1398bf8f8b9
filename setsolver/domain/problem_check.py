"""Checks that loose arrays make a problem, and fills in what is missing: the only door into ``Problem``.

Each error names the key and the index, says the value, and the way out. A problem that no set satisfies is not an
error: only arrays that contradict each other, or numbers that mean nothing, are.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.distinct import distinct
from setsolver.errors import BadProblem

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["KEYS", "LARGEST", "VARIETY_KINDS", "Floats", "Ints", "normalised", "wishes"]

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

KEYS = (
    "size",
    "frame",
    "gain",
    "role_min",
    "role_max",
    "tone",
    "tone_weight",
    "tone_slack",
    "tone_reach",
    "place",
    "variety_weight",
    "variety_kind",
    "group",
    "group_cap",
    "conflict",
    "include",
    "exclude",
)
"""Names of all arrays, in the order of the file format and of ``Problem``'s fields."""
VARIETY_KINDS = ("squared", "euclidean")

LARGEST = 1e12
"""Largest size of a number: squares and sums of larger ones do not hold a millionth of a point in double precision."""


def normalised(given: Mapping[str, Any]) -> dict[str, Any]:
    """Return every array of a problem, checked, in its own type; a missing key means "no such rule".

    Parameters
    ----------
    given : arrays by key, as in the file format; ``size`` and ``gain`` must be there.

    Raises
    ------
    BadProblem
        With the key and the index of the first thing that is wrong.
    """
    for key in given:
        if key not in KEYS:
            raise BadProblem(f"{key!r} is not a key of a problem; the keys are {', '.join(KEYS)}")
    for key in ("size", "gain"):
        if key not in given:
            raise BadProblem(f"{key} is missing; a problem needs at least size and gain")
    out: dict[str, Any] = {"size": _whole_number("size", given["size"], least=1)}
    out["gain"] = _floats("gain", given["gain"], (None, None), nan=True)
    total, roles = out["gain"].shape
    if total == 0 or roles == 0:
        raise BadProblem(f"gain: shape {out['gain'].shape}; an empty problem has no set, give at least one of each")
    out["frame"] = _ints("frame", given.get("frame", np.arange(total)), (total,), least=0)
    out["role_min"] = _ints("role_min", given.get("role_min", np.zeros(roles)), (roles,), least=0)
    out["role_max"] = _ints("role_max", given.get("role_max", np.full(roles, out["size"])), (roles,), least=0)
    out |= _tones(given, total) | _places(given, total) | _groups(given, total) | _frames(given)
    _check_frames(out)
    return out


def wishes(given: Mapping[str, Any], problem: Mapping[str, Any]) -> dict[str, Ints]:
    """Return ``include`` and ``exclude`` of a problem whose other arrays hold together, checked. Raises as above."""
    found = {key: _wishes(key, given) for key in ("include", "exclude")}
    _check_frames({**problem, **found})
    return found


def _wishes(key: str, given: Mapping[str, Any]) -> Ints:
    return np.unique(_ints(key, given.get(key, np.zeros(0)), (None,), least=0))


def _tones(given: Mapping[str, Any], total: int) -> dict[str, Floats]:
    tone = _floats("tone", given.get("tone", np.zeros((total, 0))), (total, None))
    axes = tone.shape[1]
    neutral = {"tone_weight": 0.0, "tone_slack": 0.0, "tone_reach": np.inf}
    return {"tone": tone} | {
        key: _floats(key, given.get(key, np.full(axes, value)), (axes,), least=0.0, infinite=key == "tone_reach")
        for key, value in neutral.items()
    }


def _places(given: Mapping[str, Any], total: int) -> dict[str, Any]:
    weight = float(_floats("variety_weight", given.get("variety_weight", 0.0), (), least=0.0))
    kind = str(np.asarray(given.get("variety_kind", VARIETY_KINDS[0])))
    if kind not in VARIETY_KINDS:
        raise BadProblem(f"variety_kind: {kind!r}; it is one of {', '.join(VARIETY_KINDS)}")
    place = _floats("place", given.get("place", np.zeros((total, 0))), (total, None))
    return {"place": place, "variety_weight": weight, "variety_kind": kind}


def _groups(given: Mapping[str, Any], total: int) -> dict[str, Ints]:
    group = _ints("group", _rows(given, "group", total), (None, total), least=-1)
    rows = len(group)
    if rows and "group_cap" not in given:
        raise BadProblem(f"group_cap is missing; group has {rows} rows, give the most renditions of a label for each")
    return {"group": group, "group_cap": _ints("group_cap", given.get("group_cap", np.zeros(0)), (rows,), least=0)}


def _frames(given: Mapping[str, Any]) -> dict[str, Ints]:
    conflict = _ints("conflict", _rows(given, "conflict", 2), (None, 2), least=0)
    for row in np.flatnonzero(conflict[:, 0] == conflict[:, 1])[:1]:
        raise BadProblem(f"conflict[{row}]: frame {conflict[row, 0]} conflicts with itself; name two frames")
    return {"conflict": conflict} | {key: _wishes(key, given) for key in ("include", "exclude")}


def _rows(given: Mapping[str, Any], key: str, length: int) -> Any:
    """Return the rows of a key; none of them where it is missing or an empty list, whose shape is (0,)."""
    rows = given.get(key, ())
    return np.zeros((0, length)) if np.shape(rows) == (0,) else rows


def _check_frames(out: dict[str, Any]) -> None:
    include, exclude, frames = out["include"], out["exclude"], distinct(out["frame"])
    for frame in np.intersect1d(include, exclude)[:1]:
        raise BadProblem(f"include: frame {frame} is also in exclude; take it out of one of them")
    for frame in include[~np.isin(include, frames)][:1]:
        raise BadProblem(f"include: frame {frame} has no rendition; take it out of include or give it one")
    if len(include) > out["size"]:
        raise BadProblem(f"include: {len(include)} frames for a set of size {out['size']}; include fewer or raise size")
    left = len(frames) - int(np.isin(exclude, frames).sum())
    if out["size"] > left:
        raise BadProblem(f"size: {out['size']} wanted but only {left} frames are left; lower size or exclude fewer")


def _whole_number(key: str, value: Any, *, least: int) -> int:
    return int(_ints(key, value, (), least=least))


def _ints(key: str, value: Any, shape: tuple[int | None, ...], *, least: int) -> Ints:
    numbers = _floats(key, value, shape, least=float(least))
    whole = np.rint(numbers)
    _refuse(key, numbers, numbers != whole, "a whole number is wanted")
    return np.array(whole, dtype=np.int64, order="C")


def _floats(
    key: str,
    value: Any,
    shape: tuple[int | None, ...],
    *,
    least: float = -np.inf,
    nan: bool = False,
    infinite: bool = False,
) -> Floats:
    """Return the array as float64 of the shape wanted (None = any length), all numbers finite, none below ``least``."""
    try:
        array = np.asarray(value)
    except ValueError as why:  # rows of unequal lengths
        raise BadProblem(f"{key}: not an array ({why}); give rows of equal length") from why
    if array.dtype.kind not in "iufb":
        raise BadProblem(f"{key}: holds {array.dtype} and not numbers; give numbers")
    numbers = np.array(array, dtype=np.float64, order="C")
    fits = numbers.ndim == len(shape) and all(
        length is None or length == numbers.shape[axis] for axis, length in enumerate(shape)
    )
    if not fits:
        wanted = ", ".join("any" if length is None else str(length) for length in shape)
        raise BadProblem(f"{key}: shape {numbers.shape}, wanted ({wanted}); its lengths must fit gain and tone")
    if not nan:
        _refuse(key, numbers, np.isnan(numbers), "a number is wanted")
    _refuse(key, numbers, np.isinf(numbers) & (not infinite or numbers < 0), "a finite number is wanted")
    _refuse(key, numbers, np.isfinite(numbers) & (np.abs(numbers) > LARGEST), f"at most {LARGEST:g} in size is wanted")
    _refuse(key, numbers, numbers < least, f"at least {least:g} is wanted")
    return numbers


def _refuse(key: str, numbers: Floats, bad: Any, wanted: str) -> None:
    """Raise for the first number marked in ``bad``, with its index."""
    for index in np.argwhere(bad)[:1]:
        at = f"[{', '.join(map(str, index))}]" if len(index) else ""
        raise BadProblem(f"{key}{at}: {numbers[tuple(index)]:g}; {wanted}")

"""All features of one frame, from its preview, or those of them that are due."""

from __future__ import annotations

from collections.abc import Collection
from importlib import import_module
from pkgutil import iter_modules

import numpy as np
from numpy.typing import NDArray

import setsolver.features
from setsolver.domain.measures import Measures
from setsolver.domain.origin import in_order, origins
from setsolver.errors import BadInput
from setsolver.features.models import Models
from setsolver.features.sight import FEATURES, Sight

__all__ = ["Models", "measure"]


def measure(
    rgb: NDArray[np.uint8] | None,
    *,
    models: Models,
    known: Measures | None = None,
    names: Collection[str] | None = None,
) -> Measures:
    """Measure a frame.

    Parameters
    ----------
    rgb : uint8[H, W, 3], sRGB, upright, long side about 1280 pixels; None where nothing that is due needs pixels.
    models : as loaded in this process. known : an older record, of which all but ``names`` is kept. names : what is
        measured, None = everything; what is neither known nor measured keeps the record's default.

    Raises
    ------
    FrameRefused
        Where ``rgb`` is no picture that can be measured.
    """
    every = origins(Measures)
    due = every if names is None else names
    kept = {} if known is None else {name: getattr(known, name) for name in every if name not in due}
    sight = Sight(rgb, models, {name: None for name in every if name not in due} | kept)
    for name in in_order(Measures, due):
        kept[name] = FEATURES[name](sight)
        sight.put(name, kept[name])
    return Measures(**kept)


def _gather() -> None:
    """Import every file of the package, so that each says what it measures."""
    for module in iter_modules(setsolver.features.__path__):
        import_module(f"{setsolver.features.__name__}.{module.name}")
    if missing := origins(Measures).keys() - FEATURES.keys():
        raise BadInput(f"no file of this installation measures {', '.join(sorted(missing))}; install setsolver again")


_gather()

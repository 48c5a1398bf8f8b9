"""A catalog that is open, after something was said of some of its frames and written to its index."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from setsolver.domain.snapshot import Snapshot
from setsolver.usecases.scan import scan
from setsolver.usecases.snapshot import snapshot, with_what_is_told

__all__ = ["looked_again"]


def looked_again(folder: Path, known: Snapshot, kept: Mapping[str, Mapping[str, str | None]]) -> Snapshot:
    """Return the catalog as its index holds it now, where nothing but what was said has changed.

    Frames that were said to be turned are measured again; where their files are others by now, the folder is scanned.

    Parameters
    ----------
    known : the catalog as it was. kept : what was said, by path and name.
    """
    from setsolver.usecases.remeasure import remeasured  # noqa: PLC0415 - what it needs loads longer than a word takes

    turned = [path for path, names in kept.items() if "turn" in names]
    if known.resaid is None or known.remeasured is None:
        if turned:
            scan(folder)
        return snapshot(folder)
    if turned:
        again = remeasured(folder, turned)
        if again is None:
            scan(folder)
            return snapshot(folder)
        known = known.remeasured({path: with_what_is_told(frame) for path, frame in again.frames.items()}, again.clocks)
    rest = {path: names for path, names in kept.items() if path not in turned}
    return known if not rest or known.resaid is None else known.resaid(rest)

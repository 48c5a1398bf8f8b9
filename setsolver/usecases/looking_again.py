"""A catalog that is open, after something was said of some of its frames and written to its index."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from pathlib import Path

from setsolver.domain.frame import Frame
from setsolver.domain.snapshot import Snapshot
from setsolver.usecases.scan import Progress, scan
from setsolver.usecases.snapshot import snapshot, with_what_is_told

__all__ = ["looked_again", "turned_already", "turned_now", "written_back"]


def looked_again(
    folder: Path, known: Snapshot, kept: Mapping[str, Mapping[str, str | None]], progress: Progress | None = None
) -> Snapshot:
    """Return the catalog as its index holds it now, where nothing but what was said has changed.

    Frames that were said to be turned are measured again; where their files are others by now, the folder is scanned.

    Parameters
    ----------
    known : the catalog as it was. kept : what was said, by path and name. progress : told how far a scan is.
    """
    turned = [path for path, names in kept.items() if "turn" in names]
    rest = {path: names for path, names in kept.items() if path not in turned}
    now = turned_now(folder, known, turned) if turned else known
    if now is None:
        scan(folder, progress=progress)
    if now is None or now.resaid is None:
        return snapshot(folder)
    return now.resaid(rest) if rest else now


def turned_now(folder: Path, known: Snapshot, turned: Collection[str]) -> Snapshot | None:
    """Return the catalog with some frames measured as they are said to be turned; None where that is for a scan."""
    from setsolver.usecases.remeasure import remeasured  # noqa: PLC0415 - what it needs loads longer than a word takes

    again = None if known.remeasured is None else remeasured(folder, turned)
    if again is None or known.remeasured is None:
        return None
    return known.remeasured({path: with_what_is_told(frame) for path, frame in again.frames.items()}, again.clocks)


def turned_already(known: Snapshot, kept: Mapping[str, Mapping[str, str | None]]) -> Snapshot | None:
    """Return the catalog with frames turned as was said before they are measured so; None where that is not known."""
    if known.turned is None or any(names.keys() != {"turn"} for names in kept.values()):
        return None
    turns = {path: names["turn"] for path, names in kept.items()}
    return known.turned({path: None if turn is None else int(turn) for path, turn in turns.items()})


def written_back(folder: Path, then: Snapshot, kept: Mapping[str, Mapping[str, str | None]]) -> bool:
    """Write the rows of frames that were turned back to the index; False where ``then`` is not what it holds so.

    Parameters
    ----------
    then : the catalog as it is believed to be after what was said.
    """
    from setsolver.usecases.remeasure import remeasured  # noqa: PLC0415 - what it needs loads longer than a word takes

    turned = [path for path, names in kept.items() if "turn" in names]
    again = remeasured(folder, turned) if turned else None
    if not turned or again is None:
        return not turned
    known = {path: then.by_path(path) for path in turned}
    return all(_same(known[path], again.frames[path]) for path in turned)


def _same(one: Frame | None, other: Frame) -> bool:
    """Tell whether two are measured alike, as far as a hash of their pixels tells."""
    told = [(it.width, it.height, it.turn, it.measures.phash) for it in (one, other) if it is not None]
    return len(told) == 2 and told[0] == told[1]

"""Past deliveries as choices: these frames were delivered out of that shoot, so they were preferred to other sets.

What the photographer passed over at the time is not known. As the other sets stand some that are drawn at random from
the shoot's frames; all of them together count as much as one choice.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

import numpy as np

from setsolver.catalog.pairing import RENDERED
from setsolver.domain.choice import ChoiceRecord
from setsolver.domain.snapshot import Snapshot
from setsolver.errors import BadInput
from setsolver.usecases.snapshot import scanned

__all__ = ["DRAWN", "Delivery", "delivered_choice", "matched"]

DRAWN = 8
"""Sets drawn against each delivery, as many as the tool's own taste was fitted with (benchmarks/taste)."""


class Delivery(NamedTuple):
    """choice : what it says. unknown : files of the delivery that no frame of the shoot is called like."""

    choice: ChoiceRecord
    unknown: tuple[str, ...]


def delivered_choice(folder: Path, catalog: Path, brief: str, seed: int = 0) -> Delivery:
    """Return the choice that a folder of delivered pictures is.

    Parameters
    ----------
    folder : of the delivery; its pictures are called like their frames, or begin with that name and a sign that is no
        letter or digit ("0012-print.jpg"). catalog : the scanned shoot. brief : by which sets are measured.

    Raises
    ------
    BadInput
        Where the folder holds no picture, fewer than two of them are frames of the shoot, a name stands for several
        frames, or everything that could be delivered was.
    """
    shoot = _opened(catalog)
    files = _pictures(folder)
    paths, unknown = matched(files, shoot)
    if len(paths) < 2:
        raise BadInput(
            f"{len(paths)} of {len(files)} pictures in {folder} are called like frames of {catalog}; at least 2 are "
            "needed: name the shoot that they were chosen from, or give them their frames' names again"
        )
    over = _others(shoot, paths, seed)
    if not over:
        raise BadInput(f"all frames of {catalog} that could be delivered are in {folder}: that prefers nothing")
    made = datetime.now(tz=UTC).date().isoformat()
    choice = ChoiceRecord(
        catalog=str(catalog.resolve()), brief=brief, made=made, by="delivered", chosen=tuple(paths), over=over
    )
    return Delivery(choice, tuple(unknown))


def _opened(catalog: Path) -> Snapshot:
    if not catalog.is_dir():
        raise BadInput(f"the shoot {catalog} is not there; name the folder that the delivery was chosen from")
    shoot = scanned(catalog)
    if not shoot.frames:
        raise BadInput(f"no frame of {catalog} is measured yet; run: setsolver scan {catalog}")
    return shoot


def _pictures(folder: Path) -> list[str]:
    try:
        names = sorted(file.name for file in folder.iterdir() if file.suffix.lower().lstrip(".") in RENDERED)
    except OSError as error:
        raise BadInput(f"{folder}: cannot be listed: {error.strerror}; name a folder of delivered pictures") from error
    if not names:
        raise BadInput(f"{folder} holds no picture; name the folder that the delivered pictures lie in")
    return names


def matched(files: Sequence[str], shoot: Snapshot) -> tuple[list[str], list[str]]:
    """Return the paths of the frames that files are called like, in order and each once, and the files of none.

    Raises
    ------
    BadInput
        Where a file is called like several frames of the shoot.
    """
    called: dict[str, list[str]] = {}
    for frame in shoot.frames:
        called.setdefault(Path(frame.path).stem.casefold(), []).append(frame.path)
    found: dict[str, None] = {}
    unknown = []
    for file in files:
        frames = called.get(_frame_name(Path(file).stem.casefold(), called), [])
        if len(frames) > 1:
            raise BadInput(f"{file} may be {' or '.join(frames)}; rename it like one of them, or name a smaller shoot")
        found |= dict.fromkeys(frames)
        if not frames:
            unknown.append(file)
    return list(found), unknown


def _frame_name(stem: str, called: dict[str, list[str]]) -> str:
    """Return the longest beginning of a name that a frame is called and no letter or digit follows; "" if none."""
    ends = [end for end in range(len(stem), 0, -1) if end == len(stem) or not stem[end].isalnum()]
    return next((stem[:end] for end in ends if stem[:end] in called), "")


def _others(shoot: Snapshot, chosen: Sequence[str], seed: int) -> tuple[tuple[str, ...], ...]:
    """Return ``DRAWN`` sets of the same size from frames that a client could be given, none of them the delivery.

    None where everything that could be given was: no other set is there.
    """
    could = [frame.path for frame in shoot.frames if frame.kind == "photograph" and not frame.upright]
    size = min(len(chosen), len(could))
    if size == 0 or set(could) <= set(chosen):
        return ()
    random, over = np.random.default_rng(seed), list[tuple[str, ...]]()
    while len(over) < DRAWN:  # there is another set, so half of the draws at least are none of the delivery
        one = tuple(sorted(random.choice(could, size, replace=False).tolist()))
        if set(one) != set(chosen):
            over.append(one)
    return tuple(over)

"""Cameras by name, and their times by what the user said of their clocks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Final

from setsolver.domain.clock import shift_of
from setsolver.domain.frame import DAY_IN_NAME, Shot
from setsolver.errors import BadInput

__all__ = ["UNKNOWN", "Body", "body_of", "check_cameras", "clocks_of", "names_of", "with_clock"]

Body = tuple[str, str]
"""Model and serial number, each "" where it is not known."""
UNKNOWN: Final = "unknown"
"""What all frames together that name no camera are called where something is said of their clock."""


def body_of(shot: Shot) -> Body:
    """Return which camera took a frame."""
    return shot.camera or "", shot.body or ""


def names_of(bodies: Iterable[Body]) -> dict[Body, str]:
    """Return the name of each camera, ``UNKNOWN`` without a model.

    Bodies of one model are told apart by serial number.
    """
    bodies = list(dict.fromkeys(bodies))
    models = [model for model, _ in bodies]
    return {
        (model, serial): f"{model} no. {serial}" if serial and models.count(model) > 1 else model
        for model, serial in bodies
        if model
    } | dict.fromkeys((body for body in bodies if not body[0]), UNKNOWN)


def check_cameras(said: Iterable[str], bodies: Iterable[Body]) -> None:
    """See that every camera that something is said of is there: by its name, or by a model for all its bodies.

    Raises
    ------
    BadInput
        Where one is not, naming those that are.
    """
    names = names_of(bodies)
    known = sorted({*names.values(), *(model for model, _ in names if model)})
    for camera in said:
        if camera not in known:
            there = ", ".join(map(repr, known)) or "none"
            raise BadInput(f"no frame is by a camera {camera!r}; cameras here: {there}")


def clocks_of(bodies: Iterable[Body], said: Mapping[str, str]) -> dict[Body, str]:
    """Return what is said of the clock of each body, by its own name before by its model; bodies left alone not."""
    called = {body: said.get(name, said.get(body[0])) for body, name in names_of(bodies).items()}
    return {body: clock for body, clock in called.items() if clock is not None}


def with_clock(shot: Shot, clock: str | None) -> Shot:
    """Return a shot with its time as the user's word on the clock makes it; a day alone is not moved."""
    if clock is None or shot.time is None:
        return shot
    shift = shift_of(clock)
    if shift is None:
        return replace(shot, time=None, utc_offset=None, time_from="")
    if not shift or shot.time_from == DAY_IN_NAME:
        return shot
    try:
        return replace(shot, time=shot.time + shift, time_from=f"{shot.time_from}, clock {clock}")
    except OverflowError as error:
        raise BadInput(f"a clock {clock} off leads out of the calendar; say less, or none") from error

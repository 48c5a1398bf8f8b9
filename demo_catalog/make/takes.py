"""What a take is: one frame of the catalog, developed from a shot, with what was done to it on purpose."""

from dataclasses import dataclass, field, replace
from typing import Any


@dataclass(frozen=True)
class Take:
    """One frame.

    `clock` is the time of day. `ev` is the exposure error in stops, `warm` the white-balance shift
    of (red, blue) in stops, `part` the middle and the width of the field that is used, as shares
    of the render; `shift` moves the crop in pixels and `turn` turns the picture counter-clockwise
    in degrees, both known exactly; `soft` and `shake` are blur in pixels, `noise` is a factor,
    `burst` a name shared by the frames of one burst, `twin` one shared by near-duplicates taken
    hours apart; `whole` keeps every pixel of the render.
    """

    shot: str
    clock: str
    ev: float = 0.0
    warm: tuple[float, float] = (0.0, 0.0)
    part: tuple[float, float, float] = (0.5, 0.5, 1.0)
    shift: tuple[float, float] = (0.0, 0.0)
    turn: float = 0.0
    soft: float = 0.0
    shake: int = 0
    noise: float = 1.0
    iso: int | None = None
    burst: str | None = None
    whole: bool = False
    twin: str | None = None
    faults: tuple[str, ...] = field(default=())

    @property
    def seed(self) -> str:
        """What the noise is seeded with."""
        return f"{self.shot} {self.clock}"


def burst(name: str, clock: str, shots: list[str], *, step: float = 0.41, **changes: Any) -> list[Take]:
    """Frames a fraction of a second apart; the camera moves by a few pixels between them.

    `changes` maps a Take field to one value for each frame.
    """
    hours, minutes, seconds = clock.split(":")
    moved = ((0, 0), (9, -4), (-12, 6), (15, 9), (-5, -11))
    takes = []
    for index, shot in enumerate(shots):
        at = f"{hours}:{minutes}:{float(seconds) + index * step:05.2f}"
        own = {key: values[index] for key, values in changes.items()}
        takes.append(replace(Take(shot, at, shift=moved[index], burst=name), **own))
    return takes

"""What a shot is: one position of the camera in one light, rendered once."""

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Shot:
    """One linear render.

    `eye` and `target` in metres; `roll` in degrees, positive when the camera is turned
    counter-clockwise as seen from behind it: the right end of the horizon is then the lower one.
    `focus` is the point in focus (None: the target).
    """

    name: str
    place: str
    light: str
    eye: tuple[float, float, float]
    target: tuple[float, float, float]
    focal: float
    f_number: float
    focus: tuple[float, float, float] | None = None
    roll: float = 0.0
    upright: bool = False
    horizon: bool = False
    samples: int = 4
    long_side: int = 1584

    def focus_distance(self) -> float:
        """Distance in metres from the eye to the plane in focus, along the optical axis."""
        eye, target = np.array(self.eye), np.array(self.target)
        ahead = (target - eye) / np.linalg.norm(target - eye)
        return float(np.dot(np.array(self.focus or self.target) - eye, ahead))

    def framed_metres(self) -> float:
        """Length in metres that the long side of the frame covers in the plane of focus."""
        return 36.0 / self.focal * self.focus_distance()

    def pixels(self) -> tuple[int, int]:
        """Width and height of the render."""
        short = round(self.long_side * 2 / 3)
        return (short, self.long_side) if self.upright else (self.long_side, short)

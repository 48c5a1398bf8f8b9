"""The pottery itself: profiles, handles, and a stock of pots to place from."""

import bpy
import numpy as np

from demo_catalog.make.glazes import GLAZES, glazed
from demo_catalog.make.kinds import Material, Numbers, Points, Rng, Thing
from demo_catalog.make.materials import bare_clay
from demo_catalog.make.meshes import lathe, put, tube

# Outer walls as (radius, height) in metres, from foot to lip.
PROFILES = {
    "bowl": [(0.038, 0.0), (0.040, 0.012), (0.075, 0.035), (0.098, 0.075), (0.106, 0.098)],
    "teabowl": [(0.030, 0.0), (0.032, 0.010), (0.056, 0.026), (0.062, 0.055), (0.061, 0.085)],
    "mug": [(0.040, 0.0), (0.044, 0.010), (0.046, 0.045), (0.044, 0.085), (0.045, 0.105)],
    "vase": [
        (0.045, 0.0),
        (0.060, 0.030),
        (0.085, 0.110),
        (0.070, 0.190),
        (0.034, 0.235),
        (0.032, 0.260),
        (0.048, 0.285),
    ],
    "bottle": [
        (0.050, 0.0),
        (0.066, 0.030),
        (0.072, 0.110),
        (0.050, 0.175),
        (0.019, 0.215),
        (0.017, 0.265),
        (0.025, 0.280),
    ],
    "jar": [
        (0.065, 0.0),
        (0.085, 0.030),
        (0.115, 0.120),
        (0.110, 0.200),
        (0.080, 0.245),
        (0.078, 0.262),
        (0.086, 0.272),
    ],
    "jug": [
        (0.052, 0.0),
        (0.066, 0.030),
        (0.082, 0.090),
        (0.068, 0.150),
        (0.046, 0.190),
        (0.050, 0.225),
        (0.058, 0.240),
    ],
    "cylinder": [(0.052, 0.0), (0.056, 0.010), (0.055, 0.080), (0.053, 0.140), (0.056, 0.165)],
    "plate": [(0.055, 0.0), (0.057, 0.008), (0.100, 0.014), (0.128, 0.026), (0.135, 0.032)],
    "crock": [
        (0.150, 0.0),
        (0.185, 0.060),
        (0.240, 0.240),
        (0.225, 0.420),
        (0.170, 0.500),
        (0.172, 0.525),
        (0.190, 0.545),
    ],
}
HANDLED = {"mug": (0.040, 0.022, 0.086), "jug": (0.052, 0.085, 0.205)}


def curve_through(points: Points, count: int) -> np.ndarray:
    """Catmull-Rom spline through points, `count` samples, shape (count, 2 or 3)."""
    points = np.asarray(points, dtype=float)
    padded = np.vstack([2 * points[0] - points[1], points, 2 * points[-1] - points[-2]])
    along = np.linspace(0, len(points) - 1.0001, count)
    index = along.astype(int)
    t = (along - index)[:, None]
    a, b, c, d = (padded[index + k] for k in range(4))
    return 0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3)


def wall(outer: Points, thickness: float = 0.005) -> np.ndarray:
    """Close an outer profile over a rounded lip and down the inside to the middle of the floor."""
    out = curve_through(outer, 46)
    slope = np.gradient(out, axis=0)
    slope /= np.linalg.norm(slope, axis=1, keepdims=True)
    inner = (out - thickness * np.stack([slope[:, 1], -slope[:, 0]], axis=1))[::-1]
    inner = inner[inner[:, 1] > thickness * 1.4]
    lip = (out[-1] + inner[0]) / 2 + slope[-1] * thickness * 0.55
    ends = [(0.0, 0.003), (out[0, 0] - 0.008, 0.003), (out[0, 0] - 0.005, 0.0)]
    floor = [(inner[-1, 0] * 0.6, thickness * 1.2), (0.0, thickness)]
    return np.vstack([ends, out, out[-1] * 0.35 + lip * 0.65, lip, inner[0] * 0.35 + lip * 0.65, inner, floor])


class Stock:
    """Makes every kind of pot once and places shared copies of it."""

    def __init__(self, rng: Rng) -> None:
        self.rng = rng
        self.meshes: dict[tuple[str, str], list] = {}

    def put(
        self, shape: str, glaze: str, at: Numbers, *, scale: float | None = None, turn: float | None = None
    ) -> Thing:
        """Place a pot on its foot at `at`; size and turning are the hand's unless given."""
        size = self.rng.uniform(0.94, 1.06) if scale is None else scale
        angle = self.rng.uniform(0, 6.283) if turn is None else turn
        for mesh in self.meshes.get((shape, glaze)) or self._make(shape, glaze):
            pot = put(mesh, at, (0.0, 0.0, angle), size)
        return pot

    def _make(self, shape: str, glaze: str) -> list:
        outer = PROFILES[shape]
        tall = outer[-1][1]
        material = bare_clay() if glaze == "bare" else glazed(glaze, tall * 0.16, tall * 0.66)
        thickness = 0.012 if shape == "crock" else 0.005
        made = [lathe(f"{glaze} {shape}", wall(outer, thickness), material, phase=self.rng.uniform(0, 6.3))]
        if shape in HANDLED:
            made.append(_handle(shape, material))
        self.meshes[shape, glaze] = made
        return made

    def any_glaze(self) -> str:
        """A glaze picked by chance."""
        return list(GLAZES)[self.rng.integers(len(GLAZES))]


def _handle(shape: str, material: Material) -> bpy.types.Mesh:
    reach, low, high = HANDLED[shape]
    middle = (low + high) / 2
    path = [
        (reach, 0, low),
        (reach + 0.022, 0, low + 0.008),
        (reach + 0.036, 0, middle + 0.006),
        (reach + 0.024, 0, high),
        (reach - 0.002, 0, high),
    ]
    return tube(f"handle {shape}", curve_through(path, 22), np.linspace(0.0055, 0.0075, 22), material)

"""Things that carpenters and masons make: walls with openings, boards, tables, shelves."""

import math

import numpy as np

from demo_catalog.make.kinds import Material, Numbers, Thing
from demo_catalog.make.materials import old_wood, pale_wood
from demo_catalog.make.meshes import box, put


def block(low: Numbers, high: Numbers, material: Material, bevel: float = 0.004) -> Thing:
    """A box between two opposite corners."""
    low, high = np.asarray(low, float), np.asarray(high, float)
    return put(box("block", high - low, material, bevel), (low + high) / 2)


def wall_with_opening(
    start: Numbers, end: Numbers, height: float, opening: Numbers, material: Material, thickness: float = 0.35
) -> None:
    """An upright wall along x or y from `start` to `end` (x, y) with one opening.

    `opening` is (from, to, sill, lintel) in metres along the wall and above the floor.
    """
    start, end = np.asarray(start, float), np.asarray(end, float)
    length = float(np.linalg.norm(end - start))
    along = (end - start) / length
    side = np.array([-along[1], along[0]]) * thickness / 2
    left, right, sill, lintel = opening
    for a, b, low, high in (
        (0, left, 0, height),
        (right, length, 0, height),
        (left, right, 0, sill),
        (left, right, lintel, height),
    ):
        if b > a and high > low:
            ends = np.stack([start + along * a - side, start + along * b + side])
            block((*ends.min(axis=0), low), (*ends.max(axis=0), high), material, 0.003)


def boards(low: Numbers, high: Numbers, material: Material, *, axis: int, count: int, gap: float = 0.004) -> None:
    """Fill a box with boards side by side along one axis, each a little crooked."""
    low, high = np.asarray(low, float), np.asarray(high, float)
    width = (high - low)[axis] / count
    size = high - low
    size[axis] = width - gap
    mesh = box("board", size, material, 0.004)
    for index in range(count):
        middle = (low + high) / 2
        middle[axis] = low[axis] + width * (index + 0.5)
        nudge = 0.0015 * np.sin(np.arange(3) * 2.1 + index * 1.7)
        put(mesh, middle + nudge)


def trestle_table(at: Numbers, length: float, depth: float, height: float, turn: float = 0.0) -> None:
    """Planks on two trestles; `at` is the middle of the floor below, long side along x before turning."""
    cosine, sine = math.cos(turn), math.sin(turn)

    def spot(x: Numbers, y: Numbers, z: Numbers) -> tuple[float, float, float]:
        return (at[0] + x * cosine - y * sine, at[1] + x * sine + y * cosine, at[2] + z)

    plank = box("plank", (length, depth / 3 - 0.006, 0.035), pale_wood(0))
    for index in range(3):
        put(plank, spot(0.02 * (index - 1), (index - 1) * depth / 3, height - 0.0175), (0, 0, turn))
    leg, bar = box("leg", (0.05, 0.05, height), old_wood(2)), box("bar", (0.06, depth, 0.06), old_wood(1))
    for end in (-0.38, 0.38):
        put(bar, spot(end * length, 0, height - 0.066), (0, 0, turn))
        for side, lean in ((-1, 0.18), (1, -0.18)):
            put(leg, spot(end * length, side * depth * 0.36, height / 2 - 0.05), (lean, 0, turn))


def shelf_unit(low: Numbers, length: float, levels: Numbers, depth: float = 0.34) -> list[float]:
    """Boards along x on uprights against a wall at greater y; returns the board tops' heights."""
    x, y, z = low
    top = z + max(levels) + 0.45
    for post in np.linspace(x, x + length, 4):
        for row in (y, y + depth - 0.05):
            block((post - 0.025, row, z), (post + 0.025, row + 0.05, top), old_wood(2))
    for level in levels:
        boards(
            (x - 0.08, y - 0.02, z + level - 0.03),
            (x + length + 0.08, y + depth, z + level),
            pale_wood(0),
            axis=1,
            count=2,
        )
        for post in np.linspace(x, x + length, 4):
            block(
                (post - 0.02, y + 0.02, z + level - 0.075),
                (post + 0.02, y + depth - 0.02, z + level - 0.03),
                old_wood(1),
            )
    return [z + level for level in levels]

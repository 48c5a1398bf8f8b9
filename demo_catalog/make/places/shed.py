"""The shed in the yard, and what stands by its door."""

import numpy as np

from demo_catalog.make.kinds import Rng
from demo_catalog.make.materials import metal, old_wood, plaster, stone
from demo_catalog.make.meshes import box, lathe, put
from demo_catalog.make.pots import Stock, wall
from demo_catalog.make.stacks import tile_roof
from demo_catalog.make.structures import block, boards, wall_with_opening


def put_shed() -> None:
    """Plastered walls, a plank door, a shuttered window, a tiled roof that falls to the yard."""
    wall_with_opening((-9, -3.2), (-3.4, -3.2), 2.45, (3.3, 4.25, 0.0, 2.02), plaster())
    wall_with_opening((-9, -7.4), (-3.4, -7.4), 3.7, (5.6, 5.6, 0, 0), plaster())
    wall_with_opening((-3.4, -7.5), (-3.4, -3.1), 2.45, (1.6, 2.5, 0.95, 1.85), plaster())
    wall_with_opening((-9, -7.5), (-9, -3.1), 2.45, (4.4, 4.4, 0, 0), plaster())
    for share in np.linspace(0, 1, 6)[:-1]:
        y, top = -3.2 - share * 4.2, 2.45 + 1.25 * (share + 0.1)
        for x in (-9, -3.4):
            block((x - 0.17, y - 0.86, 2.4), (x + 0.17, y, top - 0.14), plaster(), 0.01)
    tile_roof((-9.5, -2.9), (-2.65, -7.9), (2.38, 3.95))
    boards((-5.72, -3.28, 0.02), (-4.76, -3.23, 2.0), old_wood(2), axis=0, count=6, gap=0.007)
    for z in (0.4, 1.62):
        block((-5.70, -3.235, z), (-4.78, -3.20, z + 0.13), old_wood(0))
    block((-4.92, -3.21, 0.98), (-4.88, -3.15, 1.14), metal("iron", (0.05, 0.05, 0.055)), 0.008)
    block((-5.82, -3.38, 2.02), (-4.66, -3.0, 2.17), old_wood(0))
    block((-5.9, -3.3, -0.1), (-4.6, -2.75, 0.07), stone(), 0.02)
    boards((-3.2, -6.02, 0.95), (-3.16, -5.0, 1.85), old_wood(2), axis=1, count=6, gap=0.006)
    _window_on_the_yard()


def _window_on_the_yard() -> None:
    """A blind window with a deep sill in the shed's front, and what stands on it."""
    for low, high in (((-8.3, -3.06, 0.9), (-7.15, -2.86, 0.98)),):
        block(low, high, old_wood(0), 0.01)
    block((-8.2, -3.06, 0.98), (-7.25, -3.0, 1.95), metal("dark glass", (0.02, 0.022, 0.025), (0.05, 0.12), 0.0))
    for x in (-8.24, -7.76, -7.3):
        block((x, -3.04, 0.98), (x + 0.06, -2.96, 1.97), old_wood(2))
    for z in (0.98, 1.45, 1.92):
        block((-8.24, -3.035, z), (-7.24, -2.965, z + 0.05), old_wood(0))


def put_ware_by_the_door(stock: Stock, rng: Rng) -> None:
    """Crocks, a bench, a bucket and boards leaning on the wall."""
    for x, y, glaze in (
        (-4.2, -2.6, "iron"),
        (-3.75, -2.75, "ash"),
        (-3.8, -2.1, "bare"),
        (4.4, 4.9, "iron"),
        (5.0, 5.2, "celadon"),
        (4.9, 4.55, "bare"),
        (-9.0, -2.3, "bare"),
    ):
        stock.put("crock", glaze, (x, y, 0.0))
    block((-8.6, -2.55, 0.40), (-6.9, -2.2, 0.445), old_wood(0), 0.008)
    for x in (-8.4, -7.15):
        block((x, -2.52, 0.0), (x + 0.07, -2.24, 0.40), old_wood(2))
    for x, shape in ((-8.45, "jar"), (-8.1, "jug"), (-7.85, "bowl"), (-7.5, "vase"), (-7.2, "teabowl")):
        stock.put(shape, stock.any_glaze(), (x, -2.38 + rng.normal(scale=0.03), 0.445))
    for x, shape, glaze in ((-8.05, "teabowl", "white"), (-7.86, "cylinder", "bare"), (-7.52, "bottle", "cobalt")):
        stock.put(shape, glaze, (x, -2.93, 0.98))
    pail = wall([(0.10, 0.0), (0.115, 0.08), (0.135, 0.25), (0.14, 0.27)], 0.004)
    put(lathe("pail", pail, metal("zinc", (0.42, 0.43, 0.44), rust=0.2)), (-6.3, -2.5, 0))
    for index in range(4):
        put(
            box("ware board", (0.2, 0.025, 1.9), old_wood(2)),
            (-6.35 - index * 0.11, -2.97 + index * 0.03, 0.94),
            (-0.09, 0.02 * index, 0.0),
        )

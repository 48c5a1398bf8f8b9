"""The hillside: the yard with its tables, the terrace wall, the shed, the slope and the plain."""

import math

import numpy as np

from demo_catalog.make import plants
from demo_catalog.make.ground import EDGE, PLAIN, height_at, hillside
from demo_catalog.make.kinds import Mesh, Numbers, Rng
from demo_catalog.make.materials import earthy, metal, old_wood, plaster, stone
from demo_catalog.make.meshes import box, lathe, lump, put
from demo_catalog.make.pots import Stock, wall
from demo_catalog.make.structures import (
    block,
    boards,
    log_pile,
    stone_wall,
    tile_roof,
    trestle_table,
    wall_with_opening,
)

HAZE = (4.7, 4.6, 4.3)  # light of the horizon in the units of the sky
HAZE_METRES = 14_000.0


def build() -> None:
    """Build everything out of doors; +y looks over the plain."""
    rng = np.random.default_rng(41)
    put(hillside(HAZE, HAZE_METRES))
    stone_wall((-12.5, EDGE - 0.3), (1.2, EDGE - 0.3), 0.62, rng)
    stone_wall((2.6, EDGE - 0.3), (12.5, EDGE - 0.3), 0.62, rng)
    _shed()
    stock = Stock(rng)
    _tables(stock, rng)
    _by_the_door(stock, rng)
    log_pile((-3.02, -6.9, 0), rng, across=26, high=12, turn=math.pi / 2)
    _trees(rng)
    _scatter(rng)


def _shed() -> None:
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


def _tables(stock: Stock, rng: Rng) -> None:
    """Two tables of drying ware, one of glazed pots that have come out of the kiln."""
    trestle_table((1.6, 2.6, 0), 2.6, 0.72, 0.80, 0.06)
    trestle_table((-2.6, 3.7, 0), 2.2, 0.66, 0.76, -0.12)
    for row in range(4):
        for column in range(11):
            at = _on_table((1.6, 2.6), 0.06, -1.17 + column * 0.235, -0.27 + row * 0.18, 0.80)
            if rng.uniform() < 0.9:
                stock.put(
                    ("bowl", "teabowl", "mug", "cylinder")[row],
                    "bare",
                    at + np.append(rng.normal(scale=0.012, size=2), 0),
                )
    for row, shapes in enumerate((("jug", "vase", "bottle", "jar"), ("mug", "bowl", "teabowl", "cylinder"))):
        for column in range(8):
            at = _on_table((-2.6, 3.7), -0.12, -0.92 + column * 0.262, 0.15 - row * 0.32, 0.76)
            stock.put(shapes[rng.integers(4)], stock.any_glaze(), at + np.append(rng.normal(scale=0.014, size=2), 0))


def _on_table(middle: Numbers, turn: float, x: float, y: float, height: float) -> np.ndarray:
    cosine, sine = math.cos(turn), math.sin(turn)
    return np.array([middle[0] + x * cosine - y * sine, middle[1] + x * sine + y * cosine, height])


def _by_the_door(stock: Stock, rng: Rng) -> None:
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


def _trees(rng: Rng) -> None:
    """Olives in the yard and on the slope, bushes between them, trees dotted over the plain."""
    kinds = [plants.olive(f"olive {index}", rng, height=3.0 + 0.5 * index) for index in range(3)]
    bushes = [plants.bush("bush", rng), plants.bush("bush", rng, dry=True), plants.bush("bush", rng)]
    for x, y, kind in (
        (7.6, 2.6, 1),
        (-10.8, 3.2, 0),
        (10.5, -2.0, 2),
        (-1.2, -7.2, 1),
        (-11.5, -5.5, 2),
        (3.5, -9.0, 0),
    ):
        _plant(kinds[kind], x, y, rng, 1.0)
    for _ in range(110):
        x, y = rng.uniform(-75, 75), rng.choice((rng.uniform(10, 110), rng.uniform(-90, -12)))
        _plant(kinds[rng.integers(3)], x, y, rng, rng.uniform(0.8, 1.5))
    for _ in range(300):
        x, y = rng.uniform(-28, 28), rng.choice((rng.uniform(EDGE + 0.6, 30), rng.uniform(-30, -8.6)))
        _plant(bushes[rng.integers(3)], x, y, rng, rng.uniform(0.7, 2.2))
    blobs = [plants.far_tree(f"far tree {index}", rng) for index in range(3)]
    for _ in range(900):
        y = 260 * math.exp(rng.uniform(0, 3.4))
        _plant(blobs[rng.integers(3)], rng.uniform(-0.9, 0.9) * y, y, rng, rng.uniform(1.6, 4.2))
    for _ in range(34):
        y, x = 300 * math.exp(rng.uniform(0, 2.6)), rng.uniform(-0.7, 0.7)
        for step in range(26):
            _plant(blobs[step % 3], x * y + step * 8.5, y + step * 1.9, rng, rng.uniform(2.0, 4.0))


def _plant(meshes: list[Mesh], x: float, y: float, rng: Rng, scale: float) -> None:
    ground = float(height_at(np.array(x), np.array(y)))
    turn = rng.uniform(0, math.tau)
    for mesh in meshes:
        put(mesh, (x, y, max(PLAIN, ground)), (0, 0, turn), scale)


def _scatter(rng: Rng) -> None:
    """Grass at the edges of the yard and down the slope; pebbles where people walk."""
    tufts = [plants.tuft(f"tuft {index}", rng) for index in range(4)]
    for _ in range(3600):
        x, y = rng.uniform(-16, 16), rng.uniform(-12, 20)
        inside = min(EDGE - y, y + 8, 12 - abs(x))
        if inside < rng.exponential(0.45) or (-9.4 < x < -3.1 and -3.1 < y < -2.8):
            _plant(tufts[rng.integers(4)], x, y, rng, rng.uniform(0.6, 1.6))
    pebbles = [
        lump(
            f"pebble {index}",
            rng,
            earthy("pebble", (0.34, 0.28, 0.21), (0.56, 0.50, 0.42)),
            rough=0.22,
            squash=(1.2, 0.9, 0.6),
            detail=2,
        )
        for index in range(5)
    ]
    for _ in range(1100):
        x, y, size = rng.uniform(-11, 11), rng.uniform(-7, 6), 0.005 + rng.exponential(0.0055)
        put(
            pebbles[rng.integers(5)],
            (x, y, float(height_at(np.array(x), np.array(y))) + size * 0.2),
            tuple(rng.uniform(0, 6, 3)),
            min(size, 0.05),
        )

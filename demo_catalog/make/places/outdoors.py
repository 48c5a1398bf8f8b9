"""The hillside: the yard with its tables, the terrace wall, the shed, the slope and the plain."""

import math

import numpy as np

from demo_catalog.make import plants
from demo_catalog.make.ground import EDGE, PLAIN, height_at, hillside
from demo_catalog.make.kinds import Mesh, Numbers, Rng
from demo_catalog.make.materials import earthy
from demo_catalog.make.meshes import lump, put
from demo_catalog.make.places.shed import put_shed, put_ware_by_the_door
from demo_catalog.make.pots import Stock
from demo_catalog.make.stacks import log_pile, stone_wall
from demo_catalog.make.structures import trestle_table

HAZE = (4.7, 4.6, 4.3)  # light of the horizon in the units of the sky
HAZE_METRES = 14_000.0


def build() -> None:
    """Build everything out of doors; +y looks over the plain."""
    rng = np.random.default_rng(41)
    put(hillside(HAZE, HAZE_METRES))
    stone_wall((-12.5, EDGE - 0.3), (1.2, EDGE - 0.3), 0.62, rng)
    stone_wall((2.6, EDGE - 0.3), (12.5, EDGE - 0.3), 0.62, rng)
    put_shed()
    stock = Stock(rng)
    _tables(stock, rng)
    put_ware_by_the_door(stock, rng)
    log_pile((-3.02, -6.9, 0), rng, across=26, high=12, turn=math.pi / 2)
    _trees(rng)
    _scatter(rng)


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

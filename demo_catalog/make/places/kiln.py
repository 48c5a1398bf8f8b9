"""The kiln under its lean-to at nightfall, lit by its fire and one lamp."""

import math

import numpy as np

from demo_catalog.make import plants
from demo_catalog.make.kinds import Rng
from demo_catalog.make.materials import earthy, firebrick, glow, metal, old_wood, pale_wood, plaster
from demo_catalog.make.meshes import box, lathe, lump, put, tube
from demo_catalog.make.places.bricks import put_door, put_iron, put_kiln
from demo_catalog.make.pots import Stock, wall
from demo_catalog.make.stacks import log_pile
from demo_catalog.make.stage import lamp
from demo_catalog.make.structures import block, boards

LAMP = (-0.95, -0.85, 2.02)


def build() -> None:
    """Build the kiln; its door faces -y."""
    rng = np.random.default_rng(5)
    dirt = earthy(
        "kiln floor", (0.10, 0.075, 0.055), (0.25, 0.19, 0.14), scale=2.5, bump=0.02, grit=26.0, grit_bump=0.006
    )
    block((-150, -150, -0.2), (150, 150, 0.0), dirt, 0.0)
    block((-5, 2.9, 0), (4.4, 3.2, 2.9), plaster())
    put_kiln(rng)
    put_door(rng)
    put_iron()
    _lean_to()
    log_pile((1.25, 0.25, 0), rng, across=15, high=14)
    log_pile((1.45, -0.55, 0), rng, across=9, high=4)
    _beside(Stock(rng), rng)
    _lamp()
    _trees_behind()


def _lean_to() -> None:
    """Posts, rafters and a boarded roof over the kiln."""
    for x in (-2.5, 2.9):
        for y, top in ((-1.75, 2.42), (2.7, 2.85)):
            block((x - 0.07, y - 0.07, 0), (x + 0.07, y + 0.07, top), old_wood(2), 0.012)
    for y, z in ((-1.75, 2.42), (2.7, 2.85)):
        block((-2.8, y - 0.06, z), (3.2, y + 0.06, z + 0.15), old_wood(0), 0.012)
    pitch = math.atan2(0.43, 4.45)
    rafter = box("rafter", (0.07, 5.1, 0.12), old_wood(1))
    plank = box("roof board", (6.3, 0.20, 0.03), old_wood(0))
    for x in np.linspace(-2.6, 3.0, 8):
        put(rafter, (x, 0.45, 2.80), (pitch, 0, 0))
    for index in range(25):
        y = -2.0 + index * 0.204
        put(plank, (0.2, y, 2.885 + (y - 0.45) * math.tan(pitch)), (pitch, 0, 0))


def _beside(stock: Stock, rng: Rng) -> None:
    """Kiln shelves and props, glazed ware from the last firing, a stool, pots waiting."""
    boards((-2.45, -0.15, 0.62), (-1.15, 0.40, 0.66), pale_wood(0), axis=1, count=3)
    for x in (-2.4, -1.28):
        for y in (-0.12, 0.30):
            block((x, y, 0), (x + 0.08, y + 0.08, 0.62), old_wood(2))
    for x, y, shape, glaze in (
        (-2.25, 0.12, "vase", "iron"),
        (-2.05, -0.02, "mug", "celadon"),
        (-1.88, 0.17, "jug", "ash"),
        (-1.72, -0.02, "bowl", "cobalt"),
        (-1.5, 0.16, "bottle", "iron"),
        (-1.34, 0.0, "teabowl", "white"),
        (-2.3, -0.06, "teabowl", "copper"),
    ):
        stock.put(shape, glaze, (x, y, 0.66))
    bat = earthy("kiln shelf", (0.30, 0.25, 0.20), (0.52, 0.46, 0.39), scale=6.0)
    for index in range(7):
        put(
            box("kiln shelf", (0.42, 0.36, 0.022), bat, 0.004),
            (-1.8, 0.15, 0.02 + index * 0.0245),
            (0, 0, rng.normal(scale=0.05)),
        )
    prop = lathe("prop", [(0.0, 0), (0.024, 0), (0.024, 0.15), (0, 0.15)], bat, segments=24)
    for index in range(9):
        put(prop, (-1.30 - 0.06 * (index % 3), -0.28 - 0.06 * (index // 3), 0.0), (0, 0, 0))
    for x, glaze in ((-2.2, "bare"), (-2.65, "iron")):
        stock.put("crock", glaze, (x, -0.75, 0.0), scale=0.85)
    pail = wall([(0.10, 0.0), (0.115, 0.08), (0.135, 0.25), (0.14, 0.27)], 0.004)
    put(lathe("pail", pail, metal("zinc", (0.42, 0.43, 0.44), rust=0.3)), (0.95, -0.55, 0))
    put(
        tube(
            "poker",
            [(1.02, -0.02, 0.0), (1.10, 0.06, 1.25)],
            [0.009, 0.009],
            metal("kiln iron", (0.08, 0.075, 0.07), (0.35, 0.65), 0.7),
        )
    )
    ash = [lump(f"crumb {index}", rng, firebrick(), rough=0.3, detail=2) for index in range(4)]
    for _ in range(130):
        put(
            ash[rng.integers(4)],
            (rng.normal(scale=0.9), -0.1 - abs(rng.normal(scale=0.5)), 0.004),
            tuple(rng.uniform(0, 6, 3)),
            0.003 + rng.exponential(0.006),
        )


def _lamp() -> None:
    """A bulb under an enamel shade on a flex; dim light from the sky is set by the hour."""
    x, y, z = LAMP
    shade = metal("enamel", (0.05, 0.12, 0.09), (0.1, 0.2), 0.15)
    put(
        lathe(
            "shade",
            [(0.02, 0.10), (0.035, 0.085), (0.06, 0.05), (0.15, 0.0), (0.148, 0.0), (0.058, 0.046), (0.02, 0.08)],
            shade,
            wobble=0,
        ),
        (x, y, z),
    )
    bulb = lathe(
        "bulb",
        [(0, -0.045), (0.016, -0.04), (0.027, -0.02), (0.027, 0.0), (0.016, 0.03), (0.013, 0.06)],
        glow("filament", (1.0, 0.62, 0.27), 90.0),
        segments=24,
        wobble=0,
    )
    put(bulb, (x, y, z + 0.01)).visible_diffuse = False
    put(
        tube(
            "flex",
            [(x, y, z + 0.1), (x + 0.005, y, z + 0.4), (x, y, 2.75)],
            [0.004] * 3,
            metal("flex", (0.02, 0.02, 0.02)),
            segments=8,
        )
    )
    lamp(
        "SPOT",
        (x, y, z - 0.01),
        (x + 0.1, y, 0.0),
        230.0,
        (1.0, 0.64, 0.32),
        spot_size=2.75,
        spot_blend=0.5,
        shadow_soft_size=0.03,
    )


def _trees_behind() -> None:
    """A dark line of trees against the sky."""
    rng = np.random.default_rng(99)
    kinds = [plants.far_tree(f"tree behind {index}", rng) for index in range(3)]
    for _ in range(90):
        spot, size, turn = (
            (rng.uniform(-45, 45), rng.uniform(14, 42), 0.4),
            rng.uniform(1.6, 3.4),
            rng.uniform(0, math.tau),
        )
        for mesh in kinds[rng.integers(3)]:
            put(mesh, spot, (0, 0, turn), size)

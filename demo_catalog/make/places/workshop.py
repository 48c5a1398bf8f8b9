"""Indoors: the wheel at the window, the shelves, the bench with its tools, the window sill."""

import math

import numpy as np

from demo_catalog.make.kinds import Material, Rng
from demo_catalog.make.materials import bare_clay, earthy, metal, old_wood, plaster
from demo_catalog.make.meshes import box, lathe, put
from demo_catalog.make.nodes import Nodes
from demo_catalog.make.places.bench import put_bench, put_shelves
from demo_catalog.make.places.room import DEPTH, HEIGHT, LENGTH, SILL_BOARD, WINDOW
from demo_catalog.make.places.wheel import put_sill, put_wheel
from demo_catalog.make.pots import Stock, wall
from demo_catalog.make.stage import lamp
from demo_catalog.make.structures import block, boards, trestle_table, wall_with_opening

BENCH_TOP = 0.86


def build() -> None:
    """Build the workshop; the window is in the wall x = 0, the door in the wall x = LENGTH."""
    rng = np.random.default_rng(77)
    _room()
    _window()
    stock = Stock(rng)
    put_wheel(stock, rng)
    put_shelves(stock, rng)
    put_bench(stock, rng)
    put_sill(stock, rng)
    _floor_things(stock, rng)


def _room() -> None:
    """Limewashed walls, an earthen floor white with clay, beams and boards above."""
    wall_with_opening((-0.175, 0), (-0.175, DEPTH), HEIGHT, WINDOW, plaster())
    wall_with_opening((LENGTH + 0.1, DEPTH), (LENGTH + 0.1, 0), HEIGHT, (3.0, 4.0, 0.0, 2.1), plaster(), 0.2)
    wall_with_opening((-0.3, DEPTH + 0.1), (LENGTH + 0.2, DEPTH + 0.1), HEIGHT, (6.5, 6.5, 0, 0), plaster(), 0.2)
    wall_with_opening((-0.3, -0.1), (LENGTH + 0.2, -0.1), HEIGHT, (6.5, 6.5, 0, 0), plaster(), 0.2)
    floor = earthy("floor", (0.23, 0.19, 0.15), (0.46, 0.41, 0.34), scale=1.6, bump=0.01, grit=30.0, grit_bump=0.002)
    block((-0.3, -0.2, -0.1), (LENGTH + 0.3, DEPTH + 0.2, 0.0), floor, 0.0)
    boards((-0.3, -0.2, HEIGHT), (LENGTH + 0.3, DEPTH + 0.2, HEIGHT + 0.04), old_wood(0), axis=1, count=24)
    block((-0.4, -0.3, HEIGHT + 0.04), (LENGTH + 0.4, DEPTH + 0.3, HEIGHT + 0.1), old_wood(0), 0.0)
    for x in np.linspace(0.7, LENGTH - 0.7, 5):
        block((x - 0.07, 0, HEIGHT - 0.17), (x + 0.07, DEPTH, HEIGHT), old_wood(1), 0.012)


def _window() -> None:
    """Frame, sill, the bright view outside, and the light that comes in by window and door."""
    low, high, sill, lintel = WINDOW
    block((-0.36, low + 0.003, sill - 0.05), (0.07, high - 0.003, sill + SILL_BOARD), old_wood(1), 0.012)
    for y in (low, (low + high) / 2 - 0.02, high - 0.045):
        block((-0.30, y, sill), (-0.25, y + 0.045, lintel), old_wood(2))
    for z in (sill, (sill + lintel) / 2 - 0.02, lintel - 0.045):
        block((-0.295, low, z), (-0.255, high, z + 0.045), old_wood(1))
    sight = box("view", (0.02, 14.0, 9.0), _view(), 0.0)
    for x, y in ((-5.0, 2.1), (LENGTH + 6.0, 1.1)):
        view = put(sight, (x, y, 1.6))
        view.visible_shadow = view.visible_diffuse = view.visible_glossy = False
    middle = ((low + high) / 2, (sill + lintel) / 2)
    lamp(
        "AREA",
        (-0.42, *middle),
        (3.0, middle[0] + 0.1, 0.7),
        95.0,
        (0.86, 0.93, 1.0),
        shape="RECTANGLE",
        size=high - low,
        size_y=lintel - sill,
    )
    lamp(
        "AREA",
        (LENGTH + 0.35, 1.1, 1.15),
        (2.5, 1.3, 0.8),
        26.0,
        (1.0, 0.93, 0.84),
        shape="RECTANGLE",
        size=0.95,
        size_y=2.0,
    )
    lamp("SUN", (-4.0, 4.6, 4.2), (1.0, 1.9, 0.8), 1.0, angle=math.radians(0.6))


def _view() -> Material:
    """What is seen through the window: pale sky over the blurred green of the hill."""
    nodes = Nodes("view")
    point = nodes.place(vary=False)
    height = nodes.add("ShaderNodeSeparateXYZ", {0: point}).outputs[2]
    wavy = nodes.math("ADD", height, nodes.math("MULTIPLY", nodes.noise(point, 0.9, 5.0), 1.4))
    mottle = nodes.blend(nodes.spread(nodes.noise(point, 2.4, 4.0), 0.35, 0.65), (0.9, 1.0, 0.45), (3.2, 2.9, 1.7))
    light = nodes.blend(nodes.spread(wavy, 0.35, 0.55), mottle, (9.0, 10.5, 12.0))
    return nodes.finish(nodes.add("ShaderNodeEmission", {"Color": light, "Strength": 1.3}).outputs[0])


def _floor_things(stock: Stock, rng: Rng) -> None:
    """A bucket, a sack of clay blocks, a table with fresh ware in the middle of the room."""
    pail = wall([(0.10, 0.0), (0.115, 0.08), (0.135, 0.25), (0.14, 0.27)], 0.004)
    put(lathe("pail", pail, metal("zinc", (0.42, 0.43, 0.44), rust=0.2)), (0.62, 1.35, 0))
    for index in range(7):
        put(
            box("clay block", (0.30, 0.18, 0.17), bare_clay(), 0.02),
            (0.45, 3.5 + 0.24 * (index % 3), 0.09 + 0.172 * (index // 3)),
            (0, 0, rng.normal(scale=0.06)),
        )
    trestle_table((2.75, 2.75, 0), 1.5, 0.6, 0.74, math.pi / 2 - 0.08)
    for row in range(3):
        for column in range(6):
            spot = (2.58 + row * 0.18 + column * 0.018, 2.17 + column * 0.225, 0.74)
            stock.put(("bowl", "vase", "cylinder")[row], "bare", spot + np.append(rng.normal(scale=0.01, size=2), 0))

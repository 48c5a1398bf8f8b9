"""The potter's wheel with a pot half thrown, the stool, the window sill."""

import math

from demo_catalog.make.kinds import Material, Rng
from demo_catalog.make.materials import earthy, metal, old_wood, pale_wood
from demo_catalog.make.meshes import lathe, lump, put, tube
from demo_catalog.make.nodes import Nodes
from demo_catalog.make.places.room import SILL_BOARD, WINDOW
from demo_catalog.make.places.tools import rib, sponge
from demo_catalog.make.pots import Stock, wall
from demo_catalog.make.structures import block, boards

WHEEL = (1.35, 2.05)  # middle of the wheel, x and y in metres


def put_wheel(stock: Stock, rng: Rng) -> None:
    """A kick wheel with a pot half thrown, splashed with slip; a stool; a bucket of water."""
    x, y = WHEEL
    for corner_x in (-0.38, 0.38):
        for corner_y in (-0.34, 0.34):
            block(
                (x + corner_x - 0.04, y + corner_y - 0.04, 0),
                (x + corner_x + 0.04, y + corner_y + 0.04, 0.72),
                old_wood(2),
            )
    for side in (-0.34, 0.34):
        block((x - 0.44, y + side - 0.03, 0.62), (x + 0.44, y + side + 0.03, 0.74), old_wood(0))
        block((x + side * 1.12 - 0.03, y - 0.36, 0.60), (x + side * 1.12 + 0.03, y + 0.36, 0.72), old_wood(1))
        block((x - 0.40, y + side - 0.025, 0.10), (x + 0.40, y + side + 0.025, 0.18), old_wood(0))
    boards((x - 0.46, y - 0.42, 0.74), (x - 0.20, y + 0.42, 0.765), pale_wood(1), axis=0, count=2)
    iron, slip = (
        metal("wheel iron", (0.22, 0.21, 0.20), rust=0.35),
        earthy("dried slip", (0.34, 0.27, 0.21), (0.55, 0.47, 0.39), scale=9.0),
    )
    put(
        lathe("fly wheel", [(0, 0.2), (0.36, 0.2), (0.37, 0.21), (0.37, 0.29), (0.36, 0.3), (0, 0.3)], slip, wobble=0),
        (x, y, 0),
    )
    put(lathe("shaft", [(0.022, 0.05), (0.022, 0.80)], iron, wobble=0), (x, y, 0))
    put(
        lathe(
            "tray",
            [(0.03, 0.69), (0.30, 0.70), (0.315, 0.71), (0.32, 0.80), (0.313, 0.80), (0.305, 0.715), (0.03, 0.705)],
            slip,
            wobble=0.002,
        ),
        (x, y, 0),
    )
    put(
        lathe(
            "wheel head",
            [(0, 0.80), (0.168, 0.80), (0.172, 0.804), (0.172, 0.818), (0.168, 0.822), (0, 0.822)],
            iron,
            wobble=0,
        ),
        (x, y, 0),
    )
    thrown = wall([(0.085, 0.0), (0.078, 0.018), (0.098, 0.08), (0.122, 0.155), (0.112, 0.215), (0.118, 0.238)], 0.008)
    wet = _wet_clay()
    put(lathe("thrown pot", thrown, wet, wobble=0.003), (x, y, 0.822))
    for _ in range(16):
        angle, away = rng.uniform(0, math.tau), rng.uniform(0.10, 0.16)
        size = rng.uniform(0.003, 0.009)
        put(
            lump("slurry", rng, wet, rough=0.2, squash=(1, 1, 0.4), detail=2),
            (x + away * math.cos(angle), y + away * math.sin(angle), 0.823),
            scale=size,
        )
    stock.put("bowl", "slip", (x - 0.31, y + 0.24, 0.765))
    put(sponge(rng), (x - 0.33, y - 0.02, 0.785), (0.1, 0, 0.5))
    put(rib(), (x - 0.30, y - 0.22, 0.772), (0, 0, 1.1))
    stool_top = lathe(
        "stool", [(0, 0.53), (0.165, 0.53), (0.175, 0.54), (0.175, 0.565), (0.165, 0.575), (0, 0.572)], old_wood(0)
    )
    put(stool_top, (x + 0.85, y + 0.05, 0))
    for angle in (0.3, 2.4, 4.5):
        foot = (0.2 * math.cos(angle), 0.2 * math.sin(angle))
        put(
            tube("stool leg", [(foot[0] * 0.5, foot[1] * 0.5, 0.54), (*foot, 0.0)], [0.018, 0.016], old_wood(2)),
            (x + 0.85, y + 0.05, 0),
        )


def _wet_clay() -> Material:
    """Clay on the wheel, shining with slip."""
    nodes = Nodes("wet clay")
    point = nodes.place()
    height = nodes.add("ShaderNodeSeparateXYZ", {0: point}).outputs[2]
    rings = nodes.math(
        "SINE",
        nodes.math("ADD", nodes.math("MULTIPLY", height, 640.0), nodes.math("MULTIPLY", nodes.noise(point, 6.0), 6.0)),
    )
    wet = nodes.spread(nodes.noise(point, 16.0, 4.0), 0.38, 0.62)
    colour = nodes.blend(wet, (0.20, 0.135, 0.09), (0.30, 0.22, 0.155))
    normal = nodes.bump(rings, 0.0009, 1.0, nodes.bump(nodes.noise(point, 45.0), 0.001))
    return nodes.finish(nodes.principled(colour, nodes.spread(wet, 0.0, 1.0, (0.12, 0.42)), normal), (0.26, 0.18, 0.12))


def put_sill(stock: Stock, rng: Rng) -> None:
    """Small test pots on the window sill, in clay dust and crumbs."""
    sill = WINDOW[2] + SILL_BOARD
    for y, shape, glaze, size in (
        (1.62, "teabowl", "celadon", 0.8),
        (1.78, "cylinder", "bare", 0.6),
        (1.95, "bottle", "cobalt", 0.62),
        (2.36, "mug", "white", 0.8),
        (2.52, "teabowl", "iron", 0.75),
    ):
        stock.put(shape, glaze, (-0.10 + rng.normal(scale=0.02), y, sill + 0.001), scale=size)
    dust = earthy("clay dust", (0.50, 0.43, 0.35), (0.72, 0.66, 0.57), scale=20.0, grit=200.0, bump=0.002)
    crumbs = [lump(f"crumb {index}", rng, dust, rough=0.3, detail=2) for index in range(4)]
    for _ in range(420):
        size = 0.0006 + rng.exponential(0.0009)
        put(
            crumbs[rng.integers(4)],
            (rng.uniform(-0.22, 0.06), rng.uniform(1.48, 2.72), sill + size * 0.4),
            tuple(rng.uniform(0, 6, 3)),
            size,
        )

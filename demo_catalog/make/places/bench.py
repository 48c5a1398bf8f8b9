"""The bench with its tools, and the wall of shelves."""

import math

import bpy
import numpy as np

from demo_catalog.make.kinds import Rng
from demo_catalog.make.materials import bare_clay, earthy, metal, old_wood, pale_wood
from demo_catalog.make.meshes import box, lump, put, tube
from demo_catalog.make.places.room import DEPTH
from demo_catalog.make.places.tools import sponge
from demo_catalog.make.pots import PROFILES, Stock, curve_through
from demo_catalog.make.structures import block, boards, shelf_unit

BENCH_TOP = 0.86


def put_bench(stock: Stock, rng: Rng) -> None:
    """A long bench on the wall y = 0 with tools, a clay block, boards of small ware."""
    boards((2.3, 0.03, BENCH_TOP - 0.05), (5.5, 0.75, BENCH_TOP), pale_wood(0), axis=1, count=3, gap=0.003)
    for x in (2.4, 3.9, 5.34):
        for y in (0.08, 0.62):
            block((x, y, 0), (x + 0.08, y + 0.08, BENCH_TOP - 0.05), old_wood(2))
        block((x, 0.1, 0.2), (x + 0.07, 0.68, 0.28), old_wood(1))
    block((2.42, 0.1, 0.28), (5.4, 0.66, 0.31), old_wood(0))
    for index, (shape, glaze) in enumerate((("crock", "slip"), ("crock", "iron"), ("crock", "bare"))):
        stock.put(shape, glaze, (2.85 + index * 0.75, 0.38, 0.31), scale=0.72)
    _tools(stock, rng)
    for x in np.arange(4.55, 5.4, 0.14):
        for y in (0.14, 0.29):
            stock.put("teabowl", "bare" if y < 0.2 else "slip", (x, y, BENCH_TOP + 0.022))
    put(box("ware board", (0.95, 0.32, 0.022), pale_wood(0)), (4.96, 0.22, BENCH_TOP + 0.011))


def _tools(stock: Stock, rng: Rng) -> None:
    """Loop tools, ribs, needles, brushes in a jar, a wire, a sponge, a lump of clay."""
    iron, ash = metal("tool steel", (0.52, 0.50, 0.47), (0.18, 0.4), 0.12), pale_wood(0)
    ribs = bpy.data.meshes["rib"]
    for index in range(6):
        spot = (3.28 + index * 0.062 + rng.normal(scale=0.006), 0.50 + rng.normal(scale=0.02), BENCH_TOP + 0.009)
        turn = math.pi / 2 + rng.normal(scale=0.14)
        handle = tube(
            "handle",
            curve_through([(0, 0, 0), (0.03, 0, 0), (0.08, 0, 0), (0.13, 0, 0)], 14),
            np.interp(np.arange(14), (0, 4, 9, 13), (0.006, 0.0085, 0.0075, 0.0045)),
            (ash, old_wood(0))[index % 2],
        )
        put(handle, spot, (0, 0, turn))
        loop = [
            (0.128, 0.002, 0),
            (0.150, 0.014, 0),
            (0.172 + 0.01 * (index % 3), 0, 0),
            (0.150, -0.014, 0),
            (0.128, -0.002, 0),
        ]
        blade = loop if index % 3 else [(0.128, 0, 0), (0.15, 0, 0), (0.17, 0, 0), (0.19, 0, 0), (0.205, 0, 0)]
        put(tube("blade", curve_through(blade, 26), np.full(26, 0.0013), iron, segments=8), spot, (0, 0, turn))
    for index, (x, y) in enumerate(((3.14, 0.60), (3.06, 0.50), (3.70, 0.58))):
        put(ribs, (x, y, BENCH_TOP + 0.001), (0, 0, 0.8 + index * 1.3), 1.0 + 0.25 * index)
    put(sponge(rng), (3.78, 0.46, BENCH_TOP + 0.020), (0, 0, 0.3))
    wire = [
        (3.72 + 0.16 * math.cos(t) * (1 + 0.1 * t), 0.27 + 0.05 * math.sin(t * 1.6) * (1 + 0.2 * t), BENCH_TOP + 0.003)
        for t in np.linspace(0, 5.5, 60)
    ]
    put(tube("wire", wire, np.full(60, 0.0008), iron, segments=6))
    stock.put("cylinder", "white", (3.05, 0.28, BENCH_TOP), scale=0.95)
    for index in range(6):
        lean = (rng.normal(scale=0.028), rng.normal(scale=0.028))
        base = np.array([3.05, 0.28, BENCH_TOP + 0.01])
        tip = np.add(base, (lean[0] * 2.0, lean[1] * 2.0, 0.235 + rng.uniform(0, 0.07)))
        put(
            tube(
                "brush",
                [base, (base + tip) / 2, tip],
                [0.0035, 0.0045, 0.004],
                (ash, old_wood(2))[index % 2],
                segments=10,
            )
        )
        hair = earthy("hair", (0.05, 0.035, 0.02), (0.22, 0.15, 0.09), scale=40.0, stretch=(6.0, 6.0, 0.4))
        put(
            tube(
                "hair",
                [tip, tip + (tip - base) * 0.07, tip + (tip - base) * 0.16],
                [0.0055, 0.0065, 0.001],
                hair,
                segments=10,
            )
        )
    put(
        lump("clay lump", rng, bare_clay(), rough=0.16, squash=(0.13, 0.10, 0.085), detail=4),
        (4.15, 0.40, BENCH_TOP + 0.06),
        (0, 0, 0.4),
    )
    put(box("clay slab", (0.20, 0.15, 0.045), bare_clay(), 0.012), (4.22, 0.60, BENCH_TOP + 0.022), (0, 0, -0.2))
    stock.put("bowl", "celadon", (3.42, 0.22, BENCH_TOP))
    stock.put("mug", "cobalt", (2.62, 0.30, BENCH_TOP))
    stock.put("jug", "ash", (2.5, 0.5, BENCH_TOP))


def put_shelves(stock: Stock, rng: Rng) -> None:
    """Four long shelves on the wall y = DEPTH: tall ware below, small ware above, some of it raw."""
    tops = shelf_unit((2.35, DEPTH - 0.38, 0.0), 3.3, (0.32, 0.80, 1.24, 1.64))
    rows = (
        ("jar", "jug", "vase"),
        ("bottle", "vase", "jug", "cylinder"),
        ("mug", "bowl", "teabowl"),
        ("teabowl", "bowl", "mug"),
    )
    glazes = (
        ("iron", "ash", "bare"),
        ("celadon", "cobalt", "iron", "white"),
        ("white", "slip", "celadon", "copper"),
        ("bare", "bare", "white"),
    )
    gaps = (0.27, 0.205, 0.165, 0.155)
    for top, shapes, colours, gap in zip(tops, rows, glazes, gaps, strict=True):
        for y in (DEPTH - 0.27, DEPTH - 0.12):
            x = 2.40 + rng.uniform(0, 0.06)
            while x < 5.62:
                run = int(rng.integers(2, 5))
                shape, colour = shapes[rng.integers(len(shapes))], colours[rng.integers(len(colours))]
                wide = max(radius for radius, _ in PROFILES[shape]) * 2 + 0.025
                for _ in range(run):
                    if x < 5.62 and rng.uniform() < 0.93:
                        stock.put(shape, colour, (x, y + rng.normal(scale=0.012), top))
                    x += max(wide, gap * 0.6) + abs(rng.normal(scale=0.012))
                x += rng.uniform(0.0, 0.03)
    for x in (2.6, 4.9, 5.35):
        stock.put("crock", ("ash", "iron", "bare")[int(x) % 3], (x, DEPTH - 0.75, 0.0), scale=0.8)

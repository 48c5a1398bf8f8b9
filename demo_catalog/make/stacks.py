"""Things laid piece by piece: roof tiles, dry-stone walls, firewood."""

import math

import bpy
import numpy as np

from demo_catalog.make.kinds import Material, Mesh, Numbers, Rng
from demo_catalog.make.materials import earthy, old_wood, stone, terracotta, wood
from demo_catalog.make.meshes import box, grid, lump, put


def tile_roof(x: Numbers, y: Numbers, z: Numbers) -> None:
    """Half-round tiles on a single pitch from the eaves at y[0], z[0] to the ridge at y[1], z[1]."""
    angle, along = np.linspace(0, math.pi, 9), np.linspace(0, 0.46, 3)[:, None]
    radius = np.interp(along, (0, 0.46), (0.105, 0.085))
    mesh = grid("tile", radius * np.cos(angle), along + 0 * angle, radius * np.sin(angle) * 0.8, terracotta())
    run, rise = y[1] - y[0], z[1] - z[0]
    pitch, facing, way = math.atan2(rise, abs(run)), 0.0 if run > 0 else math.pi, math.copysign(1.0, run)
    length = math.hypot(run, rise)
    deck = box("roof deck", (x[1] - x[0], length, 0.06), old_wood(0))
    put(deck, (sum(x) / 2, sum(y) / 2, sum(z) / 2 - 0.05), (pitch, 0, facing))
    rng = np.random.default_rng(11)
    for row in range(int(length / 0.36)):
        for column in range(int((x[1] - x[0]) / 0.19)):
            spot = (
                x[0] + 0.1 + column * 0.19,
                y[0] + way * row * 0.36 * math.cos(pitch),
                z[0] + row * 0.36 * math.sin(pitch),
            )
            put(
                mesh,
                spot + rng.normal(scale=0.007, size=3),
                (pitch + rng.normal(scale=0.015), rng.normal(scale=0.03), facing + rng.normal(scale=0.02)),
            )


def stone_wall(start: Numbers, end: Numbers, height: float, rng: Rng) -> None:
    """A dry-stone wall: rough stones in courses, larger ones at the foot."""
    kinds = [lump(f"stone {index}", rng, stone(), rough=0.2, squash=(1.25, 0.9, 0.72)) for index in range(7)]
    start, end = np.asarray(start, float), np.asarray(end, float)
    length = float(np.linalg.norm(end - start))
    facing = math.atan2(*(end - start)[::-1])
    z = start[2] if len(start) > 2 else 0.0
    level = z
    while level < z + height:
        size = 0.17 - 0.06 * (level - z) / height
        along = rng.uniform(0, 0.2)
        while along < length:
            x, y = start[:2] + (end - start)[:2] * along / length
            spot = (
                x + rng.normal(scale=0.02),
                y + rng.normal(scale=0.03),
                level + size * 0.5 + rng.normal(scale=0.012),
            )
            put(
                kinds[rng.integers(7)],
                spot,
                (*rng.normal(scale=0.16, size=2), facing + rng.choice((0, math.pi)) + rng.normal(scale=0.1)),
                size * rng.uniform(0.85, 1.12),
            )
            along += size * 1.95
        level += size * 1.08


def log_pile(at: Numbers, rng: Rng, *, across: int, high: int, length: float = 0.45, turn: float = 0.0) -> None:
    """Split and round firewood stacked along x, cut ends towards -y."""
    bark = earthy("bark", (0.07, 0.055, 0.04), (0.26, 0.22, 0.17), scale=5.0, stretch=(3.0, 3.0, 0.7), bump=0.03)
    ends = wood("cut end", (0.30, 0.19, 0.10), (0.62, 0.46, 0.28), axis=1)
    kinds = [_log(rng, length, bark, ends) for _ in range(8)]
    for row in range(high):
        for column in range(across):
            x, z = (
                (column + 0.5 * (row % 2)) * 0.115 + rng.normal(scale=0.008),
                0.055 + row * 0.098 + rng.normal(scale=0.006),
            )
            y = rng.normal(scale=0.03)
            spot = (
                at[0] + x * math.cos(turn) - y * math.sin(turn),
                at[1] + x * math.sin(turn) + y * math.cos(turn),
                at[2] + z,
            )
            put(kinds[rng.integers(8)], spot, (0, rng.uniform(0, math.tau), turn), rng.uniform(0.9, 1.08))


def _log(rng: Rng, length: float, bark: Material, ends: Material) -> Mesh:
    """One log along y: an uneven prism whose two ends show the wood."""
    sides = int(rng.choice((4, 7, 12)))
    angle = np.sort(rng.uniform(0, math.tau, sides)) if sides == 4 else np.linspace(0, math.tau, sides, endpoint=False)
    radius = 0.058 * rng.uniform(0.85, 1.05, sides)
    ring = np.stack([radius * np.cos(angle), np.zeros(sides), radius * np.sin(angle)], axis=1)
    points = np.vstack([np.add(ring, (0, end, 0)) for end in (-length / 2, length / 2)])
    faces = [(k, (k + 1) % sides, sides + (k + 1) % sides, sides + k) for k in range(sides)]
    mesh = bpy.data.meshes.new("log")
    mesh.from_pydata(points.tolist(), [], [*faces, tuple(range(sides))[::-1], tuple(range(sides, 2 * sides))])
    mesh.materials.append(bark)
    mesh.materials.append(ends)
    for polygon in mesh.polygons[-2:]:
        polygon.material_index = 1
    return mesh

"""Olive trees, bushes and grass, each made once and placed many times."""

import math

import numpy as np

from demo_catalog.make.kinds import Material, Mesh, Rng
from demo_catalog.make.materials import earthy, leaf
from demo_catalog.make.meshes import lump, mesh_from, tube


def leaves(
    name: str, centres: np.ndarray, rng: Rng, material: Material, *, each: int, spread: float, size: float
) -> Mesh:
    """Small folded leaves in clumps around `centres`, shape (n, 3)."""
    middle = np.repeat(centres, each, axis=0) + rng.normal(scale=spread, size=(len(centres) * each, 3))
    along = rng.normal(size=middle.shape)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    across = np.cross(along, rng.normal(size=middle.shape))
    across /= np.linalg.norm(across, axis=1, keepdims=True)
    long = along * size * rng.uniform(0.7, 1.2, (len(middle), 1))
    wide = across * size * 0.2
    points = np.stack([middle - long, middle + wide, middle + long, middle - wide], axis=1).reshape(-1, 3)
    return mesh_from(name, points, np.arange(len(points)).reshape(-1, 4), material, smooth=False)


def olive(name: str, rng: Rng, *, height: float = 3.2) -> list:
    """An olive tree as meshes: a twisting trunk with limbs, and its crown."""
    bark = earthy("bark", (0.07, 0.055, 0.04), (0.26, 0.22, 0.17), scale=5.0, stretch=(3.0, 3.0, 0.7), bump=0.03)
    fork = np.array([0.1, -0.05, height * 0.36])
    parts = [
        tube(
            f"{name} trunk",
            [(0, 0, -0.2), (0.06, 0.02, height * 0.12), (-0.04, 0.05, height * 0.24), fork],
            [0.26, 0.19, 0.16, 0.15],
            bark,
        )
    ]
    centres, inner, own = [], [], np.random.default_rng(11)
    for index in range(6):
        angle = index * math.tau / 6 + rng.uniform(-0.4, 0.4)
        tip = np.add(
            fork,
            (math.cos(angle) * height * 0.33, math.sin(angle) * height * 0.33, height * rng.uniform(0.25, 0.55)),
        )
        middle = (fork + tip) / 2 + rng.normal(scale=0.12, size=3)
        parts.append(tube(f"{name} limb", [fork - (0, 0, 0.1), middle, tip], [0.1, 0.06, 0.02], bark, segments=8))
        centres.append(tip + rng.normal(scale=(height * 0.12, height * 0.12, height * 0.09), size=(34, 3)))
        share = own.uniform(0.55, 1.05, (22, 1))
        inner.append(fork + (tip - fork) * share + own.normal(scale=height * 0.07, size=(22, 3)))
    green = leaf("olive leaf", (0.055, 0.085, 0.035), (0.20, 0.24, 0.15))
    parts.append(leaves(f"{name} crown", np.vstack(centres), rng, green, each=70, spread=height * 0.036, size=0.045))
    parts.append(leaves(f"{name} inner crown", np.vstack(inner), own, green, each=90, spread=height * 0.045, size=0.05))
    return parts


def bush(name: str, rng: Rng, *, dry: bool = False) -> list:
    """A bush about 0.6 m across."""
    colours = ((0.20, 0.17, 0.07), (0.34, 0.29, 0.13)) if dry else ((0.05, 0.085, 0.025), (0.15, 0.19, 0.07))
    way = rng.normal(size=(60, 3))
    centres = way / np.linalg.norm(way, axis=1, keepdims=True) * rng.uniform(0.1, 0.3, (60, 1)) + (0, 0, 0.2)
    return [leaves(name, centres, rng, leaf(f"bush leaf {dry}", *colours), each=40, spread=0.05, size=0.022)]


def tuft(name: str, rng: Rng) -> list:
    """Dry grass, forty blades."""
    points, faces = [], []
    for index in range(40):
        angle, lean = rng.uniform(0, math.tau), rng.uniform(0.02, 0.14)
        foot = rng.normal(scale=0.035, size=2)
        way = np.array([math.cos(angle), math.sin(angle)])
        side, tall = np.array([-way[1], way[0]]) * 0.003, rng.uniform(0.08, 0.26)
        for share in (0.0, 0.5, 1.0):
            spot = foot + way * lean * share**2
            points += [(*(spot - side * (1.05 - share)), tall * share), (*(spot + side * (1.05 - share)), tall * share)]
        base = index * 6
        faces += [(base, base + 1, base + 3, base + 2), (base + 2, base + 3, base + 5, base + 4)]
    return [mesh_from(name, points, faces, leaf("dry grass", (0.20, 0.16, 0.06), (0.46, 0.38, 0.19)))]


def far_tree(name: str, rng: Rng) -> list:
    """A tree seen from hundreds of metres, 1 m in radius: a dark core in a shell of big leaves."""
    green = earthy(
        "far leaves", (0.022, 0.034, 0.014), (0.06, 0.075, 0.03), scale=1.5, grit=6.0, bump=0.3, grit_bump=0.15
    )
    core = lump(name, rng, green, rough=0.4, squash=(0.85, 0.85, 0.62), detail=2)
    way = rng.normal(size=(90, 3))
    way /= np.linalg.norm(way, axis=1, keepdims=True)
    centres = way * rng.uniform(0.65, 1.15, (90, 1)) * (0.95, 0.95, 0.7)
    shell = leaf("far crown", (0.04, 0.06, 0.02), (0.11, 0.13, 0.055))
    return [core, leaves(f"{name} crown", centres, rng, shell, each=16, spread=0.12, size=0.11)]

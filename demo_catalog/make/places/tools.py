"""Small tools that lie at the wheel and on the bench."""

import math

import bpy
import numpy as np

from demo_catalog.make.kinds import Mesh, Points, Rng
from demo_catalog.make.materials import earthy, pale_wood
from demo_catalog.make.meshes import lump


def sponge(rng: Rng) -> Mesh:
    """A sponge, 10 cm long."""
    yellow = earthy(
        "sponge", (0.35, 0.22, 0.07), (0.62, 0.45, 0.20), scale=30.0, grit=160.0, bump=0.004, grit_bump=0.004
    )
    return lump("sponge", rng, yellow, rough=0.12, squash=(0.05, 0.035, 0.022), detail=4)


def rib() -> Mesh:
    """A kidney of pear wood for smoothing walls."""
    angle = np.linspace(0, math.tau, 40, endpoint=False)
    radius = 0.042 * (1 + 0.25 * np.cos(angle)) * np.where(np.sin(angle) > 0, 1.0, 0.62)
    ring = np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1)
    points = [(*spot, height) for height in (0.0, 0.006) for spot in ring]
    faces = [(k, (k + 1) % 40, 40 + (k + 1) % 40, 40 + k) for k in range(40)]
    return _slab(points, faces)


def _slab(points: Points, faces: Points) -> Mesh:
    mesh = bpy.data.meshes.new("rib")
    mesh.from_pydata(points, [], [*faces, tuple(range(40))[::-1], tuple(range(40, 80))])
    mesh.materials.append(pale_wood(0))
    return mesh

"""The hillside and the plain: one polar height field out to the horizon, with haze."""

import math

import numpy as np

from demo_catalog.make.kinds import Colour, Material, Mesh, Socket
from demo_catalog.make.meshes import grid
from demo_catalog.make.nodes import Nodes

PLAIN = -60.0  # metres below the yard
EDGE = 6.2  # where the terrace ends, metres along y
REACH = 120_000.0  # metres to the rim of the plain


def height_at(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Height of the ground in metres; the yard is level at 0."""
    down = np.maximum(0, y - EDGE)
    aside = np.maximum(0, np.abs(x) - 16)
    fall = np.clip(down / 210, 0, 1)
    fall = np.maximum(fall, np.clip(aside / 260, 0, 1))
    drop = PLAIN * (fall * fall * (3 - 2 * fall)) - 2.2 * np.clip(down / 2.5, 0, 1)
    rise = np.clip((-8 - y) / 160, 0, 1) * 42 * np.exp(-((aside / 190) ** 2))
    bumps = 0.5 * np.sin(x * 0.21 + 1) * np.sin(y * 0.17) + 0.22 * np.sin(x * 0.63) * np.sin(y * 0.51 + 2)
    rough = np.clip((np.maximum(down, np.maximum(aside, -8 - y)) - 1.0) / 12, 0, 1)
    level = 0.012 * np.sin(x * 2.3) * np.sin(y * 2.9 + 0.6)
    return np.maximum(drop + rise + bumps * rough * np.clip(1 - fall, 0.0, 1) + level * (1 - rough), PLAIN)


def hillside(haze: Colour, haze_metres: float) -> Mesh:
    """The land as one mesh."""
    radius = np.concatenate([[0.01], np.geomspace(0.6, 400, 210), np.geomspace(440, REACH, 60)])[:, None]
    angle = np.linspace(0, math.tau, 288, endpoint=False)[None, :]
    x, y = radius * np.cos(angle), radius * np.sin(angle)
    return grid("land", x, y, height_at(x, y), land(haze, haze_metres), closed=True)


def land(haze: Colour, haze_metres: float) -> Material:
    """Earth in the yard, dry grass on the slope, fields on the plain, all fading into haze."""
    nodes = Nodes("land")
    point = nodes.place(vary=False)
    shape = nodes.add("ShaderNodeSeparateXYZ", {0: point})
    fine, broad = nodes.noise(point, 24.0, 5.0), nodes.noise(point, 0.9, 3.0)
    earth = nodes.blend(
        nodes.spread(nodes.noise(point, 2.2, 5.0, 0.5), 0.36, 0.64), (0.22, 0.15, 0.095), (0.44, 0.33, 0.225)
    )
    earth = nodes.shade(earth, nodes.spread(fine, 0.3, 0.7, (0.7, 1.22)))
    grass = nodes.blend(
        nodes.spread(nodes.noise(point, 0.35, 5.0), 0.38, 0.62), (0.20, 0.16, 0.065), (0.13, 0.14, 0.05)
    )
    grass = nodes.shade(grass, nodes.spread(nodes.noise(point, 9.0, 4.0), 0.3, 0.7, (0.6, 1.3)))
    outside = nodes.math(
        "MAXIMUM",
        nodes.math("SUBTRACT", shape.outputs[1], EDGE - 0.8),
        nodes.math("SUBTRACT", nodes.math("MULTIPLY", shape.outputs[1], -1.0), 8.2),
    )
    outside = nodes.math("MAXIMUM", outside, nodes.math("SUBTRACT", nodes.math("ABSOLUTE", shape.outputs[0]), 12.0))
    grown = nodes.spread(
        nodes.math("ADD", outside, nodes.math("MULTIPLY", nodes.math("SUBTRACT", broad, 0.5), 7.0)), -0.4, 1.2
    )
    near = nodes.blend(grown, earth, grass)
    colour = nodes.blend(nodes.spread(shape.outputs[2], PLAIN + 0.5, PLAIN + 6.0), _fields(nodes, point), near)
    pits = nodes.bump(nodes.noise(point, 5.0, 4.0), 0.05, 0.9, nodes.bump(fine, 0.02, 0.8))
    surface = nodes.principled(colour, 0.95, pits, Specular_IOR_Level=0.15)
    return nodes.finish(veil(nodes, surface, haze, haze_metres), (0.30, 0.22, 0.14))


def _fields(nodes: Nodes, point: Socket) -> Socket:
    """A patchwork of crops, stubble and ploughland, with rows."""
    warped = nodes.add("ShaderNodeVectorMath", {0: point, 1: (0.0021, 0.0034, 0.0)}, operation="MULTIPLY").outputs[0]
    cells = nodes.add("ShaderNodeTexVoronoi", {"Vector": warped, "Scale": 1.0, "Randomness": 0.8}, distance="CHEBYCHEV")
    parts = nodes.add("ShaderNodeSeparateXYZ", {0: cells.outputs["Color"]})
    crop = nodes.blend(parts.outputs[0], (0.10, 0.12, 0.035), (0.40, 0.31, 0.13))
    crop = nodes.blend(nodes.spread(parts.outputs[1], 0.72, 0.76), crop, (0.17, 0.11, 0.065))
    mottle = nodes.noise(point, 0.012, 6.0)
    return nodes.shade(crop, nodes.spread(mottle, 0.3, 0.7, (0.7, 1.2)))


def veil(nodes: Nodes, surface: Socket, haze: Colour, haze_metres: float) -> Socket:
    """Aerial perspective: distance mixes the surface with the light of the horizon."""
    far = nodes.add("ShaderNodeCameraData").outputs["View Distance"]
    left = nodes.math("POWER", math.e, nodes.math("DIVIDE", far, -haze_metres))
    share = nodes.math("MULTIPLY", nodes.math("SUBTRACT", 1.0, left), 0.80)
    light = nodes.add("ShaderNodeEmission", {"Color": haze, "Strength": 1.0}).outputs[0]
    return nodes.add("ShaderNodeMixShader", {0: share, 1: surface, 2: light}).outputs[0]

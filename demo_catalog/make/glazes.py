"""Glazed stoneware: bare foot, glaze with a wavy lower edge, a second pour that runs."""

from functools import cache

from demo_catalog.make.kinds import Colour, Material, Socket
from demo_catalog.make.nodes import Nodes

GLAZES: dict[str, tuple[Colour, Colour, float]] = {
    # name: main colour, colour of the second pour, roughness
    "celadon": ((0.26, 0.36, 0.27), (0.42, 0.50, 0.38), 0.12),
    "iron": ((0.035, 0.018, 0.012), (0.20, 0.075, 0.02), 0.10),
    "white": ((0.68, 0.64, 0.55), (0.78, 0.75, 0.68), 0.22),
    "cobalt": ((0.030, 0.065, 0.20), (0.16, 0.24, 0.36), 0.14),
    "ash": ((0.36, 0.27, 0.12), (0.50, 0.43, 0.24), 0.25),
    "copper": ((0.045, 0.16, 0.14), (0.10, 0.27, 0.20), 0.16),
    "slip": ((0.50, 0.40, 0.29), (0.60, 0.51, 0.40), 0.55),
}


@cache
def glazed(name: str, foot: float, pour: float) -> Material:
    """A glaze from GLAZES on a pot whose base is at z = 0.

    `foot` is the height in metres up to which the clay is bare, `pour` the height from which
    the second pour starts.
    """
    main, second, rough = GLAZES[name]
    nodes = Nodes(f"glaze {name}")
    point = nodes.place()
    height = nodes.add("ShaderNodeSeparateXYZ", {0: nodes.add("ShaderNodeTexCoord").outputs["Object"]}).outputs[2]
    covered = _edge(nodes, height, foot, 12.0, 0.03)
    poured = _edge(nodes, height, pour, 34.0, 0.11)
    rings = nodes.math("SINE", nodes.math("MULTIPLY", height, 420.0))
    speck = nodes.spread(nodes.noise(point, 160.0, 2.0), 0.60, 0.68)
    colour = nodes.blend(poured, main, second)
    colour = nodes.shade(colour, nodes.spread(nodes.noise(point, 14.0, 5.0), 0.35, 0.65, (0.72, 1.2)))
    colour = nodes.blend(nodes.math("MULTIPLY", speck, 0.55), colour, (0.07, 0.045, 0.03))
    clay = nodes.blend(nodes.noise(point, 40.0), (0.25, 0.15, 0.09), (0.42, 0.29, 0.19))
    coats = nodes.math("ADD", covered, nodes.math("MULTIPLY", poured, 0.7))
    normal = nodes.bump(
        coats, 0.0012, 1.0, nodes.bump(rings, 0.00025, 1.0, nodes.bump(nodes.noise(point, 30.0, 3.0), 0.0012))
    )
    gloss = nodes.math("ADD", nodes.spread(covered, 0.0, 1.0, (0.75, rough)), nodes.math("MULTIPLY", speck, 0.12))
    return nodes.finish(nodes.principled(nodes.blend(covered, clay, colour), gloss, normal), main)


def _edge(nodes: Nodes, height: Socket, level: float, frequency: float, run: float) -> Socket:
    """1 above a wavy level; streaks stretched along z look like runs of glaze."""
    streak = nodes.noise(nodes.place((1.0, 1.0, 0.12)), frequency, 2.0)
    wavy = nodes.math("ADD", height, nodes.math("MULTIPLY", nodes.math("SUBTRACT", streak, 0.5), run))
    return nodes.spread(wavy, level - 0.0012, level + 0.0012)

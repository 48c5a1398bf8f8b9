"""Matt materials: clay, plaster, wood, earth, stone, leaves, metal, light."""

from functools import cache

from demo_catalog.make.kinds import Colour, Material, Numbers, Socket
from demo_catalog.make.nodes import Nodes, between


@cache
def earthy(  # noqa: PLR0913 - a surface has this many properties, nearly all with a usual value
    name: str,
    dark: Colour,
    light: Colour,
    *,
    scale: float = 6.0,
    stretch: Colour = (1.0, 1.0, 1.0),
    rough: Numbers = (0.7, 0.95),
    bump: float = 0.004,
    grit: float = 60.0,
    grit_bump: float = 0.0012,
    joined: bool = False,
) -> Material:
    """A rough, uneven material: two colours, two sizes of unevenness.

    `scale` and `grit` are noise frequencies per metre; `bump` and `grit_bump` heights in metres.
    `joined`: parts that touch show one pattern, not each its own.
    """
    nodes = Nodes(name)
    point = nodes.anywhere() if joined else nodes.place(stretch)
    broad, fine = nodes.noise(point, scale, 4.0, 0.4), nodes.noise(point, grit, 3.0)
    mixed = nodes.math("ADD", nodes.math("MULTIPLY", broad, 0.65), nodes.math("MULTIPLY", fine, 0.35))
    colour = nodes.blend(nodes.spread(mixed, 0.36, 0.62), dark, light)
    if not joined:
        random = nodes.add("ShaderNodeObjectInfo").outputs["Random"]
        colour = nodes.shade(colour, nodes.spread(random, 0.0, 1.0, (0.8, 1.15)))
    normal = nodes.bump(fine, grit_bump, 1.0, nodes.bump(broad, bump))
    return nodes.finish(nodes.principled(colour, nodes.spread(fine, 0.35, 0.65, rough), normal), between(dark, light))


@cache
def wood(
    name: str, dark: Colour, light: Colour, *, axis: int = 0, rough: Numbers = (0.45, 0.75), depth: float = 0.0015
) -> Material:
    """Sawn wood with its grain along one axis of the object."""
    nodes = Nodes(name)
    stretch = [26.0, 26.0, 26.0]
    stretch[axis] = 1.1
    point = nodes.place(tuple(stretch))
    broad = nodes.noise(point, 0.55, 3.0, 1.6)
    rings = nodes.math("FRACT", nodes.math("MULTIPLY", broad, 9.0))
    fibre = nodes.noise(point, 5.0, 6.0)
    mixed = nodes.math("ADD", nodes.math("MULTIPLY", rings, 0.45), nodes.math("MULTIPLY", fibre, 0.65))
    colour = nodes.blend(nodes.spread(mixed, 0.2, 0.8), dark, light)
    random = nodes.add("ShaderNodeObjectInfo").outputs["Random"]
    stain = nodes.noise(nodes.place(), 3.0, 4.0)
    colour = nodes.shade(colour, nodes.math("MULTIPLY", nodes.spread(random, 0.0, 1.0, (0.7, 1.15)),
                                            nodes.spread(stain, 0.3, 0.6, (0.65, 1.05))))  # fmt: skip
    colour = nodes.shade(colour, nodes.spread(_pores(nodes, axis), 0.32, 0.50, (0.66, 1.04)))
    return nodes.finish(
        nodes.principled(colour, nodes.spread(fibre, 0.3, 0.7, rough), nodes.bump(mixed, depth)), between(dark, light)
    )


def _pores(nodes: Nodes, axis: int) -> Socket:
    """Short fine streaks along the grain, a millimetre wide; they show from near only."""
    stretch = [620.0, 620.0, 620.0]
    stretch[axis] = 34.0
    return nodes.noise(nodes.place(tuple(stretch)), 1.0, 2.0)


@cache
def leaf(name: str, colour: Colour, pale: Colour) -> Material:
    """Leaves and grass: varied from plant to plant and place to place, a little light let through."""
    nodes = Nodes(name)
    spot = nodes.noise(nodes.place(), 9.0, 2.0)
    tint = nodes.blend(nodes.spread(spot, 0.35, 0.65), colour, pale)
    random = nodes.add("ShaderNodeObjectInfo").outputs["Random"]
    tint = nodes.shade(tint, nodes.spread(random, 0.0, 1.0, (0.7, 1.25)))
    front = nodes.principled(tint, 0.55)
    through = nodes.add("ShaderNodeBsdfTranslucent", {"Color": tint}).outputs[0]
    return nodes.finish(
        nodes.add("ShaderNodeMixShader", {0: 0.3, 1: front, 2: through}).outputs[0], between(colour, pale)
    )


@cache
def metal(name: str, colour: Colour, rough: Numbers = (0.25, 0.55), rust: float = 0.3) -> Material:
    """Worn iron or steel; `rust` is the share that has gone brown."""
    nodes = Nodes(name)
    spot = nodes.noise(nodes.place(), 25.0, 6.0)
    worn = nodes.spread(spot, 0.62 - rust * 0.3, 0.68 - rust * 0.2)
    tint = nodes.blend(worn, colour, (0.16, 0.07, 0.035))
    shine = nodes.spread(worn, 0.0, 1.0, (1.0, 0.1))
    return nodes.finish(
        nodes.principled(tint, nodes.spread(spot, 0.3, 0.7, rough), nodes.bump(spot, 0.0006), Metallic=shine), colour
    )


@cache
def glow(name: str, colour: Colour, strength: float) -> Material:
    """A surface that gives light."""
    nodes = Nodes(name)
    return nodes.finish(nodes.add("ShaderNodeEmission", {"Color": colour, "Strength": strength}).outputs[0])


def plaster() -> Material:
    """Limewashed wall, patched and dusty."""
    dark, light = (0.42, 0.37, 0.30), (0.74, 0.70, 0.62)
    return earthy("plaster", dark, light, scale=1.3, bump=0.02, grit=45.0, grit_bump=0.002, joined=True)


def bare_clay() -> Material:
    """Raw, drying stoneware clay."""
    return earthy(
        "bare clay", (0.36, 0.27, 0.20), (0.52, 0.42, 0.33), scale=7.0, grit=110.0, bump=0.001, grit_bump=0.0005
    )


def terracotta() -> Material:
    """Fired red earthenware: roof tiles, jars."""
    return earthy("terracotta", (0.27, 0.09, 0.045), (0.52, 0.24, 0.13), scale=5.0, grit=80.0, bump=0.002)


def stone() -> Material:
    """Field stone of the terrace wall."""
    return earthy("stone", (0.20, 0.18, 0.15), (0.50, 0.46, 0.39), scale=4.0, grit=40.0, bump=0.02, grit_bump=0.004)


def firebrick() -> Material:
    """Kiln brick, scorched."""
    return earthy(
        "firebrick", (0.20, 0.10, 0.06), (0.52, 0.33, 0.20), scale=6.0, grit=70.0, bump=0.004, grit_bump=0.002
    )


def old_wood(axis: int = 0) -> Material:
    """Grey-brown boards, long in use."""
    return wood(f"old wood {axis}", (0.07, 0.045, 0.028), (0.31, 0.22, 0.14), axis=axis)


def pale_wood(axis: int = 0) -> Material:
    """Scrubbed deal, dusty with clay."""
    return wood(f"pale wood {axis}", (0.23, 0.14, 0.07), (0.55, 0.39, 0.23), axis=axis)

"""The kiln under its lean-to at nightfall: brick, iron, fire behind the peephole, one lamp."""

import math

import numpy as np

from demo_catalog.make.kinds import Material, Mesh, Numbers, Rng
from demo_catalog.make.materials import earthy, firebrick, glow, metal, old_wood, pale_wood, plaster
from demo_catalog.make.meshes import box, grid, lathe, lump, put, tube
from demo_catalog.make.nodes import Nodes
from demo_catalog.make.pots import Stock, wall
from demo_catalog.make.stage import lamp
from demo_catalog.make.structures import block, boards, log_pile

BRICK = (0.235, 0.112, 0.066)
FRONT, HALF, SPRING = 0.0, 0.86, 1.16  # y of the kiln's face; half its width; height where the arch springs
RISE = 0.53  # of the vault above its springing
DOOR, ARCH = 0.36, 0.90  # half the width of the doorway; height where its arch springs
COURSE, STEP = 0.073, 0.242  # a course with its joint, a brick's length with its joint
PEEP = (0.0, FRONT, 0.886)  # the spy hole
LAMP = (-0.95, -0.85, 2.02)


def build() -> None:
    """Build the kiln; its door faces -y."""
    rng = np.random.default_rng(5)
    dirt = earthy(
        "kiln floor", (0.10, 0.075, 0.055), (0.25, 0.19, 0.14), scale=2.5, bump=0.02, grit=26.0, grit_bump=0.006
    )
    block((-12, -12, -0.2), (12, 12, 0.0), dirt, 0.0)
    block((-5, 2.9, 0), (4.4, 3.2, 2.9), plaster())
    _body(rng)
    _door(rng)
    _ironwork()
    _lean_to()
    log_pile((1.25, 0.25, 0), rng, across=15, high=14)
    log_pile((1.45, -0.55, 0), rng, across=9, high=4)
    _beside(Stock(rng), rng)
    _lamp()


def _bricks(rng: Rng) -> list:
    return [
        box(f"brick {index}", np.array(BRICK) - rng.uniform(0.001, 0.005, 3), firebrick(), 0.005) for index in range(4)
    ]


def _lay(kinds: list[Mesh], rng: Rng, spot: Numbers, turn: Numbers = (0.0, 0.0, 0.0)) -> None:
    """Put down one brick, not quite true."""
    put(
        kinds[rng.integers(len(kinds))],
        np.asarray(spot) + rng.normal(scale=0.0017, size=3),
        np.asarray(turn) + rng.normal(scale=0.006, size=3),
    )


def _mortar() -> Material:
    return earthy("mortar", (0.16, 0.13, 0.10), (0.34, 0.29, 0.23), scale=8.0, grit=90.0)


def _body(rng: Rng) -> None:
    """The sides, the face with its doorway under an arch, the vault, all over a dark core."""
    kinds = _bricks(rng)
    for low, high in (
        ((-HALF, 0.13, 0), (-DOOR, 2.1, SPRING)),
        ((DOOR, 0.13, 0), (HALF, 2.1, SPRING)),
        ((-DOOR, 0.22, 0), (DOOR, 2.1, SPRING)),
    ):
        block(low, high, _mortar(), 0.0)
    _face(kinds, rng)
    for row in range(int(SPRING / COURSE)):
        for side in (-1, 1):
            for y in np.arange(FRONT + 0.16 + 0.06 * (row % 2), 2.1, STEP):
                _lay(kinds, rng, (side * HALF, y, row * COURSE + 0.035), (0, 0, math.pi / 2))
    for angle in np.linspace(0.06, math.pi - 0.06, 17):
        reach = DOOR + BRICK[0] / 2 + 0.004
        _lay(kinds, rng, (reach * math.cos(angle), FRONT + 0.045, ARCH + reach * math.sin(angle)), (0, -angle, 0))
    _vault(kinds, rng)


def _face(kinds: list[Mesh], rng: Rng) -> None:
    """Courses of the face, left out where the doorway and its arch are."""
    for row in range(int((SPRING + RISE) / COURSE)):
        z = row * COURSE + 0.035
        over = max(0.0, z + 0.03 - SPRING) / RISE
        wide = HALF * math.sqrt(max(0.0, 1 - over * over)) - 0.02
        for x in np.arange(-HALF + 0.12 - 0.12 * (row % 2), HALF + 0.05, STEP):
            clear = abs(x) > DOOR + 0.11 if z < ARCH else math.hypot(abs(x) - 0.05, z - ARCH) > DOOR + BRICK[0]
            if clear and abs(x) < wide - (0.06 if z > SPRING else -0.04):
                _lay(kinds, rng, (x, FRONT + 0.062, z))


def _vault(kinds: list[Mesh], rng: Rng) -> None:
    """Bricks from side to side over a core, closed at the face."""
    for y in np.arange(0.06, 2.1, 0.118):
        for angle in np.arange(0.05 + 0.04 * (round(y / 0.118) % 2), math.pi - 0.02, STEP / HALF):
            spot = (HALF * math.cos(angle), y, SPRING + RISE * math.sin(angle))
            _lay(kinds, rng, spot, (0, -math.atan2(RISE * math.cos(angle), -HALF * math.sin(angle)) + math.pi, 0))
    angle = np.linspace(0, math.pi, 24)[None, :]
    share, depth = np.array([[0.02], [1.0], [1.0]]), np.array([[0.13], [0.13], [2.1]])
    x, z = (HALF - 0.05) * share * np.cos(angle), SPRING + (RISE - 0.05) * share * np.sin(angle)
    put(grid("core", x, depth + 0 * angle, z, _mortar()))


def _door(rng: Rng) -> None:
    """The doorway bricked up dry; fire shows in its joints and through the spy hole."""
    kinds = _bricks(rng)
    fire = put(box("fire", (0.5, 0.01, 0.62), _fire(), 0.0), (0.0, FRONT + 0.19, 0.72))
    fire.visible_diffuse = False
    block((-DOOR, FRONT + 0.13, 1.0), (DOOR, FRONT + 0.18, SPRING + 0.02), _mortar(), 0.0)
    for row in range(18):
        z, shift = row * 0.0705 + 0.04, 0.12 * (row % 2)
        for x in np.arange(-DOOR + 0.12 - shift, DOOR + 0.06, 0.2405):
            if abs(x - PEEP[0]) < 0.02 and abs(z - PEEP[2]) < 0.02:
                for side in (-1, 1):
                    put(
                        box("half brick", (0.082, 0.112, 0.064), firebrick()),
                        (x + side * 0.077, FRONT + 0.075, z),
                        rng.normal(scale=0.01, size=3),
                    )
            elif (z < ARCH and abs(x) < DOOR + 0.02) or math.hypot(x, z - ARCH) < DOOR + 0.03:
                _lay(kinds, rng, (x, FRONT + 0.072 + rng.normal(scale=0.004), z))
    lamp(
        "SPOT",
        (PEEP[0], FRONT + 0.16, PEEP[2]),
        (PEEP[0], -2.0, PEEP[2] - 0.35),
        40.0,
        (1.0, 0.36, 0.08),
        spot_size=1.3,
        spot_blend=0.8,
        shadow_soft_size=0.03,
    )


def _fire() -> Material:
    """Heat, brighter in the middle."""
    nodes = Nodes("fire")
    flame = nodes.spread(nodes.noise(nodes.place(vary=False), 7.0, 3.0), 0.3, 0.7)
    colour = nodes.blend(flame, (1.0, 0.20, 0.025), (1.0, 0.42, 0.11))
    return nodes.finish(nodes.add("ShaderNodeEmission", {"Color": colour, "Strength": 14.0}).outputs[0])


def _ironwork() -> None:
    """Angle-iron corners and tie rods that hold the arch; a bung in front of the spy hole."""
    iron = metal("kiln iron", (0.08, 0.075, 0.07), (0.35, 0.65), 0.7)
    for side in (-1, 1):
        for y in (FRONT - 0.02, 1.05, 2.1):
            block(
                (side * (HALF + 0.065) - 0.025, y - 0.025, 0),
                (side * (HALF + 0.065) + 0.025, y + 0.025, SPRING + 0.45),
                iron,
                0.004,
            )
    for y in (FRONT - 0.03, 1.05):
        for z in (0.12, SPRING + 0.40):
            put(tube("tie rod", [(-HALF - 0.13, y, z), (HALF + 0.13, y, z)], [0.009, 0.009], iron, segments=10))
            for side in (-1, 1):
                put(
                    lathe("nut", [(0, 0), (0.019, 0), (0.019, 0.018), (0, 0.018)], iron, segments=6, wobble=0),
                    (side * (HALF + 0.10), y, z),
                    (0, math.pi / 2, 0),
                )
    block((-0.46, FRONT - 0.045, 1.44), (0.46, FRONT - 0.02, 1.50), iron, 0.004)
    block((0.95, 1.5, 1.1), (1.2, 1.9, 3.4), firebrick(), 0.02)


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

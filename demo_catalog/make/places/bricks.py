"""The kiln itself: courses of brick, the vault, the bricked-up door with fire behind it, tie rods."""

import math

import numpy as np

from demo_catalog.make.kinds import Material, Mesh, Numbers, Rng
from demo_catalog.make.materials import earthy, firebrick, metal
from demo_catalog.make.meshes import box, grid, lathe, put, tube
from demo_catalog.make.nodes import Nodes
from demo_catalog.make.stage import lamp
from demo_catalog.make.structures import block

BRICK = (0.235, 0.112, 0.066)
FRONT, HALF, SPRING = 0.0, 0.86, 1.16  # y of the kiln's face; half its width; height where the arch springs
RISE = 0.53  # of the vault above its springing
DOOR, ARCH = 0.36, 0.90  # half the width of the doorway; height where its arch springs
COURSE, STEP = 0.073, 0.242  # a course with its joint, a brick's length with its joint
PEEP = (0.0, FRONT, 0.886)  # the spy hole


def put_kiln(rng: Rng) -> None:
    """The sides, the face with its doorway under an arch, the vault, all over a dark core."""
    kinds = _bricks(rng)
    for low, high in (
        ((-HALF, 0.022, 0), (-DOOR - 0.02, 2.1, SPRING)),
        ((DOOR + 0.02, 0.022, 0), (HALF, 2.1, SPRING)),
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


def put_door(rng: Rng) -> None:
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


def put_iron() -> None:
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
    share, depth = np.array([[0.02], [1.0], [1.0]]), np.array([[0.03], [0.03], [2.1]])
    x, z = (HALF - 0.05) * share * np.cos(angle), SPRING + (RISE - 0.05) * share * np.sin(angle)
    put(grid("core", x, depth + 0 * angle, z, _mortar()))


def _fire() -> Material:
    """Heat, brighter in the middle."""
    nodes = Nodes("fire")
    flame = nodes.spread(nodes.noise(nodes.place(vary=False), 7.0, 3.0), 0.3, 0.7)
    colour = nodes.blend(flame, (1.0, 0.20, 0.025), (1.0, 0.42, 0.11))
    return nodes.finish(nodes.add("ShaderNodeEmission", {"Color": colour, "Strength": 14.0}).outputs[0])

"""A small shoot drawn with numpy, for tests of commands: real files through the real reader, in a few seconds."""

import numpy as np
from PIL import Image

__all__ = ["BRIEF", "draw", "write_shoot"]

BRIEF = """
name = "any-three"
size = 3
aspect = "3:2"
print_cm = 20
min_ppi = 60
[tone]
reach = { black = 60, mid = 60, white = 60, cast = 60 }
slack = { black = 5, mid = 5, white = 5, cast = 5 }
[repeats]
twins = 1
[weights]
tone = 0.1
"""
"""Any three frames of different moments, in any tone, alike or not: what the drawn shoot can surely give."""


def draw(number, size=(900, 600)):
    """Return a picture of its own: a ground, a sky, and a pot of a different place, shape and colour."""
    rng = np.random.default_rng(number)
    width, height = size
    y, x = np.mgrid[0:height, 0:width].astype(float)
    horizon = height * rng.uniform(0.3, 0.7)
    sky, ground = rng.uniform(120, 230, 3), rng.uniform(30, 120, 3)
    picture = np.where((y < horizon)[..., None], sky, ground) * rng.uniform(0.8, 1.0)
    across, down = rng.uniform(0.25, 0.75, 2) * (width, height)
    pot = ((x - across) / (width * rng.uniform(0.05, 0.2))) ** 2 + (
        (y - down) / (height * rng.uniform(0.1, 0.3))
    ) ** 2 < 1
    picture[pot] = rng.uniform(40, 220, 3)
    picture += rng.normal(0, 6, picture.shape) + 25 * np.sin(x / rng.uniform(4, 40) + y / rng.uniform(4, 40))[..., None]
    return Image.fromarray(np.clip(picture, 0, 255).astype(np.uint8))


def write_shoot(folder, count=8):
    """Write ``count`` pictures, five minutes apart, into two folders by time of day."""
    for number in range(count):
        part = folder / ("morning" if number < count // 2 else "evening")
        part.mkdir(parents=True, exist_ok=True)
        exif = Image.Exif()
        exif.get_ifd(0x8769)[0x9003] = f"2026:05:02 {9 + number // 4:02d}:{(number * 13) % 60:02d}:{number % 2:02d}"
        draw(number).save(part / f"{number:04d}.jpg", quality=90, exif=exif)
    return folder

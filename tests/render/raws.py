"""Camera RAW files of our own making whose colours are known: DNG 1.4 (chapters 2 and 4) written by tifffile."""

from fractions import Fraction

import numpy as np
import tifffile

from setsolver.colour.lab import TO_XYZ

__all__ = ["PATCHES", "patches_dng"]

PATCHES = np.array(
    [
        [0.18, 0.18, 0.18],
        [0.60, 0.60, 0.60],
        [0.30, 0.10, 0.06],
        [0.08, 0.22, 0.10],
        [0.06, 0.09, 0.30],
        [0.45, 0.35, 0.10],
    ]
)
"""Linear sRGB of six upright fields, from left to right: greys, red, green, blue, yellow."""
_COLOURS = {"R": 0, "G": 1, "B": 2}


def _rationals(numbers):
    return [
        part for number in numbers for part in Fraction(float(number)).limit_denominator(100_000).as_integer_ratio()
    ]


def patches_dng(path, mosaic="RGGB", bits=14, black=512, neutral=(0.5, 1.0, 0.75), size=(240, 160)):
    """Write the fields as a sensor sees them: light times the camera's own answer to neutral, above its black.

    mosaic : colours of the first two rows of two pixels. The camera's primaries are those of sRGB.
    """
    width, height = size
    white = 2**bits - 1
    field = np.arange(width) * len(PATCHES) // width
    seen = PATCHES[field] * neutral  # [width, 3]
    codes = np.empty((height, width), np.uint16)
    for at, letter in enumerate(mosaic):
        row, column = divmod(at, 2)
        values = black + seen[column::2, _COLOURS[letter]] * (white - black)
        codes[row::2, column::2] = np.rint(values)
    matrix = np.diag(neutral) @ np.linalg.inv(TO_XYZ)  # from XYZ under D65 to the camera
    tags = [
        (33421, "H", 2, (2, 2), True),
        (33422, "B", 4, bytes(_COLOURS[letter] for letter in mosaic), True),
        (50706, "B", 4, bytes((1, 4, 0, 0)), True),
        (50708, "s", 0, "Hillside Clay One", True),
        (50714, "H", 1, black, True),
        (50717, "H", 1, white, True),
        (50721, 10, 9, _rationals(matrix.ravel()), True),
        (50728, 5, 3, _rationals(neutral), True),
        (50778, "H", 1, 21, True),
    ]
    tifffile.imwrite(path, codes, photometric="cfa", extratags=tags, metadata=None, software=False)
    return path

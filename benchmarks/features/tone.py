"""Recovery of known edits of exposure, black, white, temperature and vignette, and the stability of tone.

python benchmarks/features/tone.py PHOTOS
"""

from __future__ import annotations

from collections.abc import Iterator

import cv2
import numpy as np
from photographs import folder, some

from setsolver.colour.lab import (
    LUMINANCE,
    lab_to_srgb,
    linear_to_srgb,
    luminance_of_lightness,
    srgb_to_lab,
    srgb_to_linear,
)
from setsolver.domain.measures import Tone
from setsolver.features.tone import measure_tone
from setsolver.features.views import make_views
from setsolver.scaling import shrunk

LONG_SIDE = 960
NEUTRAL_WIDTH = 16.0
"""Width in chroma of what counts as near-neutral when the move that an edit makes is worked out."""
GAINS = {"warm": (1.13, 1.0, 0.83), "cool": (0.9, 1.0, 1.18), "very warm": (1.25, 1.0, 0.68)}


def tone(rgb: np.ndarray) -> Tone:
    return measure_tone(make_views(np.ascontiguousarray(rgb)))[0]


def exposed(rgb: np.ndarray, stops: float) -> np.ndarray:
    return linear_to_srgb(srgb_to_linear(rgb) * np.float32(2**stops))


def stretched(rgb: np.ndarray, black: float, white: float) -> np.ndarray:
    """L* moved so that 0 becomes ``black`` and 100 becomes ``white``."""
    lab = srgb_to_lab(rgb)
    lab[..., 0] = black + lab[..., 0] * (white - black) / 100
    return lab_to_srgb(lab)


def cast(rgb: np.ndarray, a: float, b: float) -> np.ndarray:
    return lab_to_srgb(srgb_to_lab(rgb) + np.float32([0, a, b]))


def warmed(rgb: np.ndarray, gains: tuple[float, float, float]) -> np.ndarray:
    """Gains of R, G, B in linear light at one luminance of grey, as a raw developer's white balance applies them."""
    even = np.array(gains) / (LUMINANCE @ np.array(gains))
    return linear_to_srgb(srgb_to_linear(rgb) * even.astype(np.float32))


def recoloured(rgb: np.ndarray) -> Iterator[tuple[str, np.ndarray]]:
    for a, b in ((0, 3), (0, -3), (2, 0), (0, 6), (0, -6)):
        yield f"cast moved by a {a:+d}, b {b:+d}", cast(rgb, a, b)
    for name, gains in GAINS.items():
        yield f"white balance {name}", warmed(rgb, gains)


def cast_error(before: np.ndarray, after: np.ndarray, plain: Tone) -> float:
    """Distance in a*b* between how far the cast moved and how far the near-neutrals of the plain picture did."""
    views = make_views(np.ascontiguousarray(before))
    ell, a, b = np.moveaxis(views.lab, -1, 0)
    weight = (
        np.exp(-((a - plain.cast_a) ** 2 + (b - plain.cast_b) ** 2) / (2 * NEUTRAL_WIDTH**2)) * (ell > 8) * (ell < 97)
    )
    moved = (make_views(np.ascontiguousarray(after)).lab - views.lab)[..., 1:]
    expected = (moved * weight[..., None]).sum(axis=(0, 1)) / weight.sum()
    shifted = tone(after)
    return float(np.hypot(shifted.cast_a - plain.cast_a - expected[0], shifted.cast_b - plain.cast_b - expected[1]))


def vignetted(rgb: np.ndarray, stops: float) -> np.ndarray:
    height, width = rgb.shape[:2]
    y, x = np.meshgrid(np.linspace(-1, 1, height), np.linspace(-1, 1, width), indexing="ij")
    square = ((x * width) ** 2 + (y * height) ** 2) / (width**2 + height**2)
    return linear_to_srgb(srgb_to_linear(rgb) * (2 ** (stops * square))[..., None].astype(np.float32))


def row(name: str, unit: str, errors: list[float], bar: float) -> None:
    error = np.abs(errors)
    within = np.mean(error <= bar)
    print(f"{name:<34} {unit:<4} {len(error):>5} {np.median(error):>8.3f} {np.percentile(error, 95):>8.3f}"
          f"   {within:6.1%} within {bar}")  # fmt: skip


def exposure_error(before: Tone, after: Tone, stops: float) -> float | None:
    """Error in EV of the shift of the mid tone, where the middle is neither black nor white before and after."""
    if not (3 < before.mid < 95 and 3 < after.mid < 95):
        return None
    light = luminance_of_lightness([before.mid, after.mid])
    return float(np.log2(light[1] / light[0]) - stops)


def main() -> None:
    photos = folder(__doc__)
    found: dict[tuple[str, str, float], list[float]] = {}

    def note(name: str, unit: str, bar: float, error: float | None) -> None:
        if error is not None:
            found.setdefault((name, unit, bar), []).append(error)

    for _, full in some(photos, 3):
        rgb = shrunk(full, LONG_SIDE)
        plain = tone(rgb)
        for stops in (-1.0, -0.5, 0.5, 1.0):
            note(f"exposure {stops:+.1f} EV", "EV", 0.1, exposure_error(plain, tone(exposed(rgb, stops)), stops))
        levels = tone(stretched(rgb, 8, 92))
        note("black raised to 8", "L*", 1.0, levels.black - (8 + 0.84 * plain.black))
        note("white lowered to 92", "L*", 1.0, levels.white - (8 + 0.84 * plain.white))
        if plain.neutral_share > 0.1:
            for name, edited in recoloured(rgb):
                note(name, "ab", 1.5, cast_error(rgb, edited, plain))
        darker = tone(vignetted(rgb, -0.8)).vignette
        if plain.vignette and darker:  # 0 = the corners are too dark to tell
            note("vignette -0.8 EV", "EV", 0.1, darker - plain.vignette + 0.8)
        half, poor = tone(shrunk(full, 480)), cv2.imencode(".jpg", rgb[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, 50])[1]
        poor_tone = tone(cv2.imdecode(poor, cv2.IMREAD_COLOR)[..., ::-1])
        for field in ("black", "mid", "white"):
            note(f"{field} at half the size", "L*", 1.0, getattr(half, field) - getattr(plain, field))
            note(f"{field} after JPEG quality 50", "L*", 1.0, getattr(poor_tone, field) - getattr(plain, field))
        note(
            "cast after JPEG quality 50",
            "ab",
            1.0,
            float(np.hypot(poor_tone.cast_a - plain.cast_a, poor_tone.cast_b - plain.cast_b)),
        )
    print(f"{'edit':<34} {'unit':<4} {'n':>5} {'median':>8} {'95 %':>8}")
    for (name, unit, bar), errors in found.items():
        row(name, unit, errors, bar)


if __name__ == "__main__":
    main()

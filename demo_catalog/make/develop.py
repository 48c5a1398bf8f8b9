"""From a linear render to a picture: crop, turn, blur, exposure, white balance, noise, tone curve."""

import zlib
from dataclasses import dataclass

import cv2
import numpy as np

from demo_catalog.make.hours import Setting
from demo_catalog.make.shot import Shot
from demo_catalog.make.takes import Take

LONG = 1536  # long side of a developed frame in pixels
LIGHT = 5.0  # units of the renders for shutter * ISO / N**2 = 1; one number for the whole shoot
FULL_WELL = 24000.0  # electrons at white, ISO 100; small, so that the grain shows at this size
READ_NOISE = 3.0  # electrons
KNEE = 0.42  # up to here the curve is linear; above, highlights roll off
SLOW = 1 / 40  # seconds; slower shutters are stated as decimals, since whole fractions are too coarse there


@dataclass(frozen=True)
class Exposure:
    """Shutter in seconds as EXIF states it, ISO, and the factor that they make of the light."""

    seconds: tuple[int, int]
    iso: int
    factor: float


def meter(linear: np.ndarray, shot: Shot, iso: int, bias: float, setting: Setting) -> Exposure:
    """Expose for the middle of the frame, spare the highlights, round to an EXIF fraction (by at most 1/55 stop).

    `bias` is the planted error in EV; the setting's wish is what the photographer dials in for the light.
    """
    light = linear.astype(np.float32) @ np.array([0.2126, 0.7152, 0.0722], np.float32)
    rows, columns = light.shape
    middle = light[rows // 8 : -rows // 8, columns // 8 : -columns // 8]
    level = float(np.exp(np.mean(np.log(middle + 1e-4))))
    factor = min(0.165 / level, setting.ceiling / float(np.percentile(light, 96))) * 2.0 ** (setting.wish + bias)
    seconds = factor * shot.f_number**2 / (iso * LIGHT)
    stated = (1, round(1 / seconds)) if seconds < SLOW else (round(seconds * 10_000), 10_000)
    return Exposure(stated, iso, stated[0] / stated[1] * iso / shot.f_number**2 * LIGHT)


def cut(linear: np.ndarray, take: Take) -> np.ndarray:
    """Crop to the frame: the take's part, shifted by its pixels, turned by its degrees."""
    rows, columns = linear.shape[:2]
    if take.whole:
        return linear.astype(np.float32)
    long = max(rows, columns)
    size = (round(columns * LONG / long), round(rows * LONG / long))
    scale = LONG / (long * field_of(take, long))
    middle = np.array([columns * take.part[0], rows * take.part[1]]) + np.array(take.shift) / scale
    turn = cv2.getRotationMatrix2D(tuple(map(float, middle)), take.turn, scale)
    turn[:, 2] += np.array(size) / 2 - middle
    sharp = linear.astype(np.float32)
    if scale < 0.8:  # average before thinning out, against aliasing
        sharp = cv2.GaussianBlur(sharp, (0, 0), 0.42 / scale)
    return cv2.warpAffine(sharp, turn, size, flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REFLECT)


def field_of(take: Take, long: int) -> float:
    """Share of the render's width that the frame shows; less when turning needs room at the corners."""
    angle = abs(np.radians(take.turn))
    room = 0.995 / (np.cos(angle) + 1.5 * np.sin(angle)) if take.turn else 1.0
    if take.part[2] < 1.0:
        return take.part[2]
    spare = 1 - 2 * 1.5 * max(map(abs, take.shift)) / LONG
    return float(min(room * spare, LONG / long))


def develop(linear: np.ndarray, take: Take, exposure: Exposure) -> np.ndarray:
    """The finished picture, uint8 sRGB of shape (rows, columns, 3)."""
    light = _blur(cut(linear, take), take) * exposure.factor
    light *= 2.0 ** np.array([take.warm[0], 0.0, take.warm[1]], np.float32)
    light *= _vignette(*light.shape[:2])
    light = _noise(np.maximum(light, 0), exposure.iso, take)
    return (_encode(_roll_off(light)) * 255 + 0.5).astype(np.uint8)


def _blur(light: np.ndarray, take: Take) -> np.ndarray:
    if take.soft:
        light = cv2.GaussianBlur(light, (0, 0), take.soft)
    if take.shake:
        kernel = np.zeros((take.shake, take.shake), np.float32)
        cv2.line(kernel, (0, take.shake // 3), (take.shake - 1, take.shake // 2), 1.0)
        light = cv2.filter2D(light, -1, kernel / kernel.sum())
    return light


def _vignette(rows: int, columns: int) -> np.ndarray:
    """The fall-off of a lens: a quarter stop in the corners."""
    y, x = np.mgrid[-1 : 1 : rows * 1j, -1 : 1 : columns * 1j]
    return (2.0 ** (-0.125 * (x * x + y * y))).astype(np.float32)[..., None]


def _noise(light: np.ndarray, iso: int, take: Take) -> np.ndarray:
    """Shot and read noise of a sensor, smoothed a little as demosaicing does; seeded by the name."""
    rng = np.random.default_rng(zlib.crc32(take.seed.encode()))
    well = FULL_WELL / (iso / 100) / take.noise
    spread = np.sqrt(light / well + (READ_NOISE / well) ** 2)
    grain = rng.standard_normal(light.shape, dtype=np.float32)
    grey = rng.standard_normal((*light.shape[:2], 1), dtype=np.float32)
    mixed = cv2.GaussianBlur(0.75 * grey + 0.6 * grain, (0, 0), 0.6) * 1.9
    return np.maximum(light + spread * mixed, 0)


def _roll_off(light: np.ndarray) -> np.ndarray:
    above = 1 - np.exp(-np.maximum(light - KNEE, 0) / (1 - KNEE))
    return np.where(light > KNEE, KNEE + (1 - KNEE) * above, light)


def _encode(light: np.ndarray) -> np.ndarray:
    """SRGB transfer function, IEC 61966-2-1."""
    return np.where(light < 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 1e-6) ** (1 / 2.4) - 0.055)

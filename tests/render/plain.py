"""What compiled loops do, written plainly: tests hold the loops to it."""

import cv2
import numpy as np

from setsolver.colour.lab import lab_to_linear


def to_srgb16(lab):
    """Return 16-bit sRGB codes (IEC 61966-2-1); colours outside are clipped, channel by channel. [h, w, 3]."""
    light = np.clip(lab_to_linear(lab), 0.0, 1.0)
    power = np.asarray(cv2.pow(light, 1 / 2.4), np.float32)
    codes = np.where(light <= 0.0031308, light * np.float32(12.92), power * np.float32(1.055) - np.float32(0.055))
    return (codes * np.float32(65535) + np.float32(0.5)).astype(np.uint16)

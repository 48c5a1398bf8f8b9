"""Camera RAW developed through LibRaw at 16 bits, and brought to the tone of the preview that was judged."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

import numpy as np
import rawpy
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from setsolver.colour.profile import Curves
from setsolver.colour.toning import Toning
from setsolver.errors import FrameRefused

__all__ = ["developed", "matched"]

_PROPHOTO_OF_SRGB: Final = np.array(
    [[0.529317, 0.330092, 0.140588], [0.098368, 0.873465, 0.028169], [0.016879, 0.117663, 0.865457]]
)
"""LibRaw's matrix from linear sRGB to the wide space that it writes (its ``prophoto_rgb``; from memory)."""


def developed(file: Path) -> tuple[NDArray[Any], Curves, str]:
    """Return a RAW file's picture, upright, as linear 16-bit codes of a wide space; uint16[h, w, 3].

    The camera's white balance; where single channels are clipped, highlights are rebuilt from the others.

    Raises
    ------
    FrameRefused
        Where LibRaw does not know the file or cannot unpack it.
    """
    try:
        with rawpy.imread(str(file)) as raw:
            codes = raw.postprocess(
                gamma=(1, 1),
                no_auto_bright=True,
                use_camera_wb=True,
                output_bps=16,
                output_color=rawpy.ColorSpace.ProPhoto,
                highlight_mode=rawpy.HighlightMode.Blend,
            )
    except rawpy.LibRawError as error:
        reason = error.args[0].decode() if error.args and isinstance(error.args[0], bytes) else error
        raise FrameRefused(f"LibRaw cannot develop this RAW file ({reason}); export it as TIFF") from error
    light = np.linspace(0.0, 1.0, 65536, dtype=np.float32)
    curves = Curves(np.stack([light] * 3), np.linalg.inv(_PROPHOTO_OF_SRGB))
    return codes, curves, "developed from the RAW with the camera's white balance"


_PERCENTS: Final = np.array([0.5, 2, 5, 10, 20, 30, 40, 50, 60, 70, 80, 90, 95, 98, 99.5])
_APART: Final = 0.05
_CHROMA: Final = (0.5, 2.0)
"""Least and greatest factor of chroma that is believed."""


def matched(lab: NDArray[np.float32], judged: NDArray[np.float32]) -> tuple[Toning, float]:
    """Return what brings a developed picture to the tone of the judged preview, and how far L* moves on average.

    Parameters
    ----------
    lab, judged : float32[h, w, 3], L*a*b* of the same part of the frame.

    Notes
    -----
    L* by matching percentiles, joined by a monotone cubic (PCHIP); a*, b* by the ratio of mean chroma.
    """
    before = np.percentile(np.clip(lab[..., 0], 0, 100), _PERCENTS)
    after = np.percentile(np.clip(judged[..., 0], 0, 100), _PERCENTS)
    steps = np.maximum.accumulate(before + _APART * np.arange(len(before)) / len(before))
    keep = np.concatenate([[True], np.diff(steps) > _APART]) & (steps > _APART) & (steps < 100 - _APART)
    x, y = np.concatenate([[0.0], steps[keep], [100.0]]), np.concatenate([[0.0], after[keep], [100.0]])
    at = np.linspace(0.0, 100.0, 2048)
    curve = np.clip(PchipInterpolator(x, np.maximum.accumulate(y))(at), 0.0, 100.0)
    own, wanted = (float(np.hypot(part[..., 1], part[..., 2]).mean()) for part in (lab, judged))
    chroma = float(np.clip(wanted / own, *_CHROMA)) if own > _APART else 1.0
    return Toning(at, curve, chroma=chroma), float(np.abs(after - before).mean())

"""What a paper's profile does to the colours of a print, before it is printed: on a small copy, out and back."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from setsolver.colour.lab import ciede2000, lab_to_srgb
from setsolver.render.encode import to_connection_space
from setsolver.render.save import OutProfile, exported, to_steps

__all__ = ["OUTSIDE", "Proofed", "soft_proof"]

OUTSIDE: Final = 2.0
"""CIEDE2000 by which a profile must move a colour for it to count as out of the gamut (our choice: twice what is just
seen side by side)."""
_MARK: Final = np.array([255, 0, 255], np.float32)


class Proofed(NamedTuple):
    """outside : share of pixels. mean, worst : CIEDE2000. picture : uint8[h, w, 3], sRGB, marked where it shows."""

    outside: float
    mean: float
    worst: float
    picture: NDArray[np.uint8] | None


def soft_proof(lab: NDArray[np.float32], profile: OutProfile) -> Proofed:
    """Return what becomes of L*a*b* (D65) through a profile.

    Parameters
    ----------
    lab : float32[h, w, 3], the small copy as it should look.

    Notes
    -----
    The way out is that of the print; the way back is the profile's colorimetric one, without black point compensation,
    so that paper that has no deep black shows it. With a relative intent, white is the paper's.
    """
    steps = to_steps(to_connection_space(lab))
    codes = exported(steps, profile, 16)
    back = "absolute" if profile.intent == "absolute" else "relative"
    seen = codes.icc_import(embedded=True, pcs="lab", intent=back).numpy()
    meant = steps.astype(np.float32) * np.array([100 / 32767, 1 / 256, 1 / 256], np.float32)
    moved = ciede2000(meant, seen)
    outside = moved > OUTSIDE
    share = float(outside.mean())
    picture = _marked(lab, outside) if share > 0 else None
    return Proofed(share, float(moved.mean()), float(moved.max()), picture)


def _marked(lab: NDArray[np.float32], outside: NDArray[np.bool_]) -> NDArray[np.uint8]:
    """Return the picture in grey, with what is outside in magenta."""
    grey = lab.copy()
    grey[..., 1:] = 0
    picture = lab_to_srgb(grey)
    picture[outside] = np.rint(0.25 * picture[outside] + 0.75 * _MARK).astype(np.uint8)
    return picture

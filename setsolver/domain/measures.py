"""What is measured in a frame's pixels: the record that features fill, the index stores and rules read.

Grids tile the upright frame evenly, rows from the top, so that any crop can be judged later without pixels.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.geometry import Box
from setsolver.domain.origin import measured

__all__ = [
    "ATTENTION_GRID",
    "CLIP_SIZE",
    "CROP_MAP_STEPS",
    "DETAIL_GRID",
    "EMBEDDING_SIZE",
    "FIGURE_GRID",
    "KINDS",
    "LAYERS_SIZE",
    "LIGHTNESS_BINS",
    "SCALES",
    "TONE_GRID",
    "Appeal",
    "Clip",
    "Detail",
    "Face",
    "Kind",
    "Measures",
    "Palette",
    "ScaleOdds",
    "Showing",
    "Subject",
    "Tilt",
    "Tone",
    "ToneTiles",
    "Upright",
]

SCALES = ("wide", "medium", "close")
KINDS = ("photograph", "document", "screen")
_LIKELY_PHOTOGRAPH = 0.2
"""Odds from which a frame counts as a photograph: benchmarks/features/fit_kind.py tells what that loses."""
TONE_GRID = (6, 6)
LIGHTNESS_BINS = 100
"""Bins of one L* unit from 0 to 100."""
ATTENTION_GRID = (16, 16)
DETAIL_GRID = (8, 8)
FIGURE_GRID = (14, 14)
CROP_MAP_STEPS = (1000.0, 500.0)
"""Steps of a logit in which the two crop maps are kept."""
EMBEDDING_SIZE = 1280
CLIP_SIZE = (512, 768)
"""Numbers of CLIP's embedding, and of what it says of one place."""
LAYERS_SIZE = 128
"""Numbers kept of what CLIP's inner layers say of a frame."""

_TOLD_OF = ("clip", "layers", "tuned", "embedding", "tone", "detail", "quality", "subject", "faces")
"""What appeal is told from."""


class ScaleOdds(NamedTuple):
    """Probability of each shot scale; they sum to 1."""

    wide: float
    medium: float
    close: float

    @property
    def best(self) -> str:
        """The most probable scale."""
        return SCALES[int(np.argmax(self))]

    @property
    def sure(self) -> float:
        """Probability of the most probable scale; below 0.5 the frame counts as "unsure"."""
        return max(self)


class Tone(NamedTuple):
    """Tone of a frame or crop, from CIE L*a*b* (D65) of its pixels.

    black, white, mid : L* at the low percentile, high percentile and median. contrast : interquartile range of L*.
    cast_a, cast_b : mean a*, b* of near-neutral pixels (0 where there are none; see ``neutral_share``).
    colourfulness : Hasler and Suesstrunk's M (2003), 0 = grey. clipped_low, clipped_high : shares of clipped pixels.
    vignette : corner minus centre falloff in EV, negative = darker corners; 0 where the corners are too dark to tell.
    neutral_share : share of near-neutrals.
    """

    black: float
    white: float
    mid: float
    contrast: float
    cast_a: float
    cast_b: float
    colourfulness: float
    clipped_low: float
    clipped_high: float
    vignette: float
    neutral_share: float


class ToneTiles(NamedTuple):
    """Tone by tile, so that a crop's tone follows without pixels.

    lightness : uint16[6, 6, 100], histogram of L* in bins of 1, scaled so that each tile sums to about 10000.
    neutral : float32[6, 6, 3], sum of a*, sum of b*, and weight of near-neutral pixels, each per pixel of the tile.
    """

    lightness: NDArray[np.uint16]
    neutral: NDArray[np.float32]


class Detail(NamedTuple):
    """sharpness : 0 (soft) to 1 at the sharpest and subject tiles. motion : 0 to 1, how far the blur has one direction.

    grain : noise standard deviation in L* at the preview's scale. tiles : float32[8, 8], sharpness by tile, 0 to 1.
    """

    sharpness: float
    motion: float
    grain: float
    tiles: NDArray[np.float32]


class Tilt(NamedTuple):
    """degrees : > 0 where the horizon's right end is lower; levelling turns the frame counter-clockwise by as much.

    None where no horizon or vertical can be trusted. confidence : 0 to 1. horizon : height of the horizon at the
    frame's centre column as a fraction from the top, None where there is no horizon (verticals only, or nothing).
    """

    degrees: float | None
    confidence: float
    horizon: float | None


class Subject(NamedTuple):
    """box : what a crop must keep. confidence : 0 (centre prior only) to 1. attention : float32[16, 16], sums to 1."""

    box: Box
    confidence: float
    attention: NDArray[np.float32]


class Face(NamedTuple):
    """box : on the frame. score : the detector's, 0.8 to 1. facing : "left", "right" or "front", as the viewer sees it.

    sharpness : 0 to 1, as in ``Detail``.
    """

    box: Box
    score: float
    facing: str
    sharpness: float


class Clip(NamedTuple):
    """What CLIP's image tower says of a frame in one look.

    embedding : float16[512]. places : float16[768], mean over its 14 x 14 places. inner : the same over the places
    that lie in the inner view.
    """

    embedding: NDArray[np.float16]
    places: NDArray[np.float16]
    inner: NDArray[np.float16]


class Upright(NamedTuple):
    """turn : 0, 90, 180 or 270 degrees clockwise that make the frame stand upright; None where it cannot be told.

    confidence : 0 to 1, that it is this turn and no other.
    """

    turn: int | None
    confidence: float


class Appeal(NamedTuple):
    """value : 1 to 5, how glad a client would be of the frame by itself. spread : its standard deviation."""

    value: float
    spread: float


class Kind(NamedTuple):
    """Probability of what a frame is; they sum to 1. screen : a slide, a screen or a graphic."""

    photograph: float
    document: float
    screen: float

    @property
    def best(self) -> str:
        """The kind: a photograph where that is likely enough (to lose one is worse), else the likelier other."""
        if self.photograph >= _LIKELY_PHOTOGRAPH:
            return "photograph"
        return "document" if self.document > self.screen else "screen"


class Palette(NamedTuple):
    """a, b : chroma-weighted means of a* and b*. chroma : mean C*."""

    a: float
    b: float
    chroma: float


class Showing(NamedTuple):
    """Odds of what an editor would call the picture by; they sum to 1.

    doing : people caught in what they do. about : people sitting or standing about, a crowd, backs. performing :
    somebody on a stage or at a microphone. posing : people who stand or sit for the camera, alone or lined up. nobody :
    anything else, whether somebody is in it or not.
    """

    doing: float
    about: float
    performing: float
    posing: float
    nobody: float


class Tuned(NamedTuple):
    """What CLIP says of a frame whose last layers were tuned to readings and to editors' choices.

    appeal : about 1 to 5. picked : in logits, how much likelier than another frame of its shoot an editor who makes a
    story would pick it, all else equal; only differences within a shoot mean something, mostly between -4 and 4.
    """

    appeal: float
    picked: float


@dataclass(frozen=True, slots=True, eq=False)
class Measures:
    """All features of one frame: for each its type, its version, and the other measures that it is told from.

    A feature is one line here and one function in ``features/``; the index keeps whatever types stand here. Who
    changes what a feature finds raises its version, and the next scan measures that feature again, and those told from
    it, from pixels only where one of them needs pixels.

    ``embedding`` and ``inner_embedding`` : float16[1280], EfficientNet-Lite0 on the frame and on its inner view.
    ``clip``, and what is told from it (``appeal``, ``kind``), ``layers`` and ``upright`` : None where a quick scan left
    them for later; ``upright`` also where the user turned the frame, who knows better. ``layers`` : float16[128], what
    CLIP's inner layers say of the frame. ``tuned`` : None as ``clip``.
    ``inner`` and ``inner_odds`` : a tighter view about the subject, at half the frame's width and height, and its shot
    scale, which tell what a tight crop would be.
    ``palette`` : None only where tests leave it out. ``people`` : chance, 0 to 1, that it shows some; None as ``clip``.
    ``showing`` : what people do in it; None as ``clip``.
    ``figures`` : uint8[14, 14], chance in 255ths that each place shows a person or a part of one; None as ``clip``.
    ``crop_map`` : int8[2, 14, 14], in ``CROP_MAP_STEPS`` of a logit, what a place is worth inside a crop and under its
    border; None as ``clip``.
    ``quality`` : 0 to 1, technical. ``phash`` : 64-bit perceptual hash.
    """

    tone: Tone = measured("1")
    tiles: ToneTiles = measured("1")
    detail: Detail = measured("1", "subject")
    tilt: Tilt = measured("4", "embedding", "clip")
    subject: Subject = measured("1", "embedding", "faces")
    faces: tuple[Face, ...] = measured("1", "embedding")
    quality: float = measured("1", "tone", "tiles", "detail", "subject", "faces", pixels=False)
    odds: ScaleOdds = measured("2", "embedding", "inner_embedding", "clip", pixels=False)
    inner: Box = measured("1", "subject", pixels=False)
    inner_odds: ScaleOdds = measured("1", "embedding", "inner_embedding", pixels=False)
    phash: np.uint64 = measured("1")
    embedding: NDArray[np.float16] = measured("1")
    inner_embedding: NDArray[np.float16] = measured("1", "inner")
    clip: Clip | None = measured("1", "inner", later=True, default=None)
    upright: Upright | None = measured("1", later=True, default=None)
    layers: NDArray[np.float16] | None = measured("1", later=True, default=None)
    tuned: Tuned | None = measured("4", later=True, default=None)
    appeal: Appeal | None = measured("6", *_TOLD_OF, pixels=False, default=None)
    kind: Kind | None = measured("2", "clip", pixels=False, default=None)
    palette: Palette | None = measured("1", default=None)
    people: float | None = measured("2", "clip", pixels=False, default=None)
    showing: Showing | None = measured("1", "clip", pixels=False, default=None)
    figures: NDArray[np.uint8] | None = measured("1", "clip", later=True, default=None)
    crop_map: NDArray[np.int8] | None = measured("2", "clip", later=True, default=None)

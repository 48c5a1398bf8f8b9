"""The correction that brings a print to its set's look, found on the print's own pixels.

An outcome's corrections rest on tones summed up from tiles of a small frame. A print is measured by the same feature on
its own crop, and the correction is renewed until what comes out is where the look and its slack want it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.colour.falloff import with_falloff
from setsolver.colour.texture import grain_map
from setsolver.colour.toning import Toning, toned
from setsolver.domain.brief import ToneAmounts
from setsolver.domain.outcome import Correction, ToneRecord
from setsolver.domain.rendition import FURTHER_AXES, Look
from setsolver.domain.tone_curve import toning_of
from setsolver.features.grain import measure_noise
from setsolver.features.tone import measure_tone
from setsolver.features.views import make_views
from setsolver.render.dress import Dress
from setsolver.render.grade import shown
from setsolver.rules.tone import amount_of, counted
from setsolver.scaling import LEAST_SIDE

__all__ = ["SMALL", "Aim", "Toned", "beyond", "found", "tone_of"]

SMALL: Final = 1280
"""Long side of the picture on which tones are measured: that on which frames were, brought down by the same steps."""
_ROUNDS: Final = 8
_NEAR: Final = 0.1
"""L* or a*b* beyond the slack that is good enough before the print is made; a print is held to 1."""

_AS_IS: Final = Toning(np.array([0.0, 100.0]), np.array([0.0, 100.0]))


@dataclass(frozen=True, slots=True)
class Aim:
    """Where a set's tones should be: its look, the slack around it, and the treatment.

    reach : how far vignette and grain may be changed; what asks for more misses the look, and is said to.
    """

    look: ToneRecord
    slack: ToneAmounts
    treatment: str
    reach: ToneAmounts | None = None

    @property
    def slacks(self) -> ToneRecord:
        """The slack of each axis."""
        return ToneRecord(**{axis: amount_of(self.slack, axis) for axis in Look._fields})

    @property
    def axes(self) -> tuple[str, ...]:
        """The axes that count."""
        return counted(self.slack, self.treatment)

    def within_reach(self, want: Correction) -> Correction:
        """Return a correction with vignette and grain held to their reach."""
        held = {}
        for axis in FURTHER_AXES:
            most = amount_of(self.reach, axis) if self.reach is not None else 0.0
            held[axis] = min(max(getattr(want, axis), -most), most)
        return want.model_copy(update=held)


@dataclass(frozen=True, slots=True, eq=False)
class Toned:
    """What was found for a print. tone : before the correction. applied : the correction. expected : tone after it.

    aim : where it should be. first : what is done before the correction. small : float32[h, w, 3], L*a*b* of the small
    picture as the original has it. seed : of grain that is added.
    """

    toning: Toning
    tone: ToneRecord
    applied: Correction
    expected: ToneRecord
    aim: Aim
    small: NDArray[np.float32]
    first: Toning | None = None
    seed: int = 0

    def nudged(self, lack: ToneRecord) -> Toned:
        """Return it with a correction that is so much larger."""
        want = self.aim.within_reach(_plus(self.applied, lack))
        return replace(self, toning=_whole(self.tone, want, self.aim.treatment, self.first), applied=want)

    @property
    def dress(self) -> Dress:
        """What is done to the print besides its tone."""
        if not self.applied.grain:
            return Dress(self.applied.vignette)
        lightness = toned(with_falloff(self.small, self.applied.vignette), self.toning)[..., 0]
        grain = grain_map(np.ascontiguousarray(lightness), self.tone.grain, self.applied.grain, self.seed)
        return Dress(self.applied.vignette, grain)


def tone_of(rgb: NDArray[np.uint8]) -> ToneRecord:
    """Return the tone of an sRGB picture, uint8[h, w, 3], as frames are measured; vignette and grain with it.

    Of a narrow strip, such as a print of 99:1, it is that of the strip drawn out to as many pixels as measuring needs.
    """
    height, width = rgb.shape[:2]
    if min(height, width) < LEAST_SIDE:
        rgb = np.asarray(cv2.resize(rgb, (max(width, LEAST_SIDE), max(height, LEAST_SIDE))), np.uint8)
    views = make_views(rgb)
    tone, _ = measure_tone(views)
    return ToneRecord(
        black=tone.black,
        mid=tone.mid,
        white=tone.white,
        cast_a=tone.cast_a,
        cast_b=tone.cast_b,
        vignette=tone.vignette,
        grain=measure_noise(views.grey).lightness,
    )


def beyond(aim: Aim, tone: ToneRecord) -> ToneRecord:
    """Return what is missing to bring a tone to the edge of the look's slack; zeros where it is inside already."""
    amounts = {}
    for axis in Look._fields:
        away = getattr(aim.look, axis) - getattr(tone, axis)
        free = amount_of(aim.slack, axis)
        amounts[axis] = float(np.sign(away) * max(0.0, abs(away) - free)) if axis in aim.axes else 0.0
    return ToneRecord(**amounts)


def found(lab: NDArray[np.float32], aim: Aim, first: Toning | None = None, seed: int = 0) -> Toned:
    """Return the correction of a print whose small picture, uncorrected, is ``lab``; float32[h, w, 3].

    Each round adds what the round before still lacked; the round that lacks least is taken. first : what is done to the
    picture before all else, and becomes part of the result. seed : of grain that is added.
    """
    before = tone_of(shown(lab, first or _AS_IS))
    want = aim.within_reach(Correction(**beyond(aim, before).model_dump()))
    best: Toned | None = None
    least = np.inf
    for _ in range(_ROUNDS):
        now = Toned(_whole(before, want, aim.treatment, first), before, want, before, aim, lab, first, seed)
        after = tone_of(_seen(now))
        lack = beyond(aim, after)
        most = max(abs(v) for v in lack.model_dump().values())
        if most < least:
            best, least = replace(now, expected=after), most
        if most <= _NEAR:
            break
        want = aim.within_reach(_plus(want, lack))
    assert best is not None  # noqa: S101 - the first round always sets it
    return best


def _seen(now: Toned) -> NDArray[np.uint8]:
    """Return the small picture as the print will look; uint8[h, w, 3], sRGB."""
    dress = now.dress
    lab = with_falloff(now.small, dress.ev)
    if dress.grain is None:
        return shown(lab, now.toning)
    lab = toned(lab, now.toning)
    lab[..., 0] += dress.grain
    return shown(lab, _AS_IS)


def _plus(correction: Correction, lack: ToneRecord) -> Correction:
    return Correction(**{axis: getattr(correction, axis) + getattr(lack, axis) for axis in Look._fields})


def _whole(tone: ToneRecord, correction: Correction, treatment: str, first: Toning | None) -> Toning:
    toning = toning_of(tone, correction, treatment)
    return toning if first is None else first.then(toning)

"""The correction that brings a print to its set's look, found on the print's own pixels.

An outcome's corrections rest on tones summed up from tiles of a small frame. A print is measured by the same feature on
its own crop, and the correction is renewed until what comes out is where the look and its slack want it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from setsolver.colour.toning import Toning, toned
from setsolver.domain.brief import ToneAmounts
from setsolver.domain.outcome import Correction, ToneRecord
from setsolver.domain.rendition import Look, axes_of
from setsolver.domain.tone_curve import toning_of
from setsolver.features.tone import measure_tone
from setsolver.features.views import make_views
from setsolver.render.grade import shown
from setsolver.rules.tone import amount_of

__all__ = ["SMALL", "Aim", "Toned", "beyond", "found", "tone_of"]

SMALL: Final = 1280
"""Long side of the picture on which tones are measured: that on which frames were, brought down by the same steps."""
_ROUNDS: Final = 8
_NEAR: Final = 0.1
"""L* or a*b* beyond the slack that is good enough before the print is made; a print is held to 1."""

_AS_IS: Final = Toning(np.array([0.0, 100.0]), np.array([0.0, 100.0]))


@dataclass(frozen=True, slots=True)
class Aim:
    """Where a set's tones should be: its look, the slack around it, and the treatment."""

    look: ToneRecord
    slack: ToneAmounts
    treatment: str

    @property
    def slacks(self) -> ToneRecord:
        """The slack of each axis."""
        return ToneRecord(**{axis: amount_of(self.slack, axis) for axis in Look._fields})


@dataclass(frozen=True, slots=True, eq=False)
class Toned:
    """What was found for a print. tone : before the correction. applied : the correction. expected : tone after it.

    treatment : of the set. first : what is done before the correction.
    """

    toning: Toning
    tone: ToneRecord
    applied: Correction
    expected: ToneRecord
    treatment: str
    first: Toning | None = None

    def nudged(self, lack: ToneRecord) -> Toned:
        """Return it with a correction that is so much larger."""
        want = _plus(self.applied, lack)
        return replace(self, toning=_whole(self.tone, want, self.treatment, self.first), applied=want)


def tone_of(rgb: NDArray[np.uint8]) -> ToneRecord:
    """Return the tone of an sRGB picture, uint8[h, w, 3], as frames are measured."""
    tone, _ = measure_tone(make_views(rgb))
    return ToneRecord(black=tone.black, mid=tone.mid, white=tone.white, cast_a=tone.cast_a, cast_b=tone.cast_b)


def beyond(aim: Aim, tone: ToneRecord) -> ToneRecord:
    """Return what is missing to bring a tone to the edge of the look's slack; zeros where it is inside already."""
    counts = axes_of(aim.treatment)
    amounts = {}
    for axis in Look._fields:
        away = getattr(aim.look, axis) - getattr(tone, axis)
        free = amount_of(aim.slack, axis)
        amounts[axis] = float(np.sign(away) * max(0.0, abs(away) - free)) if axis in counts else 0.0
    return ToneRecord(**amounts)


def found(lab: NDArray[np.float32], aim: Aim, first: Toning | None = None) -> Toned:
    """Return the correction of a print whose small picture, uncorrected, is ``lab``; float32[h, w, 3].

    Each round adds what the round before still lacked; the round that lacks least is taken. first : what is done to the
    picture before all else, and becomes part of the result.
    """
    if first is not None:
        lab = toned(lab, first)
    before = tone_of(shown(lab, _AS_IS))
    want = Correction(**beyond(aim, before).model_dump())
    best: Toned | None = None
    least = np.inf
    for _ in range(_ROUNDS):
        toning = toning_of(before, want, aim.treatment)
        after = tone_of(shown(lab, toning))
        lack = beyond(aim, after)
        most = max(abs(v) for v in lack.model_dump().values())
        if most < least:
            whole = _whole(before, want, aim.treatment, first)
            best, least = Toned(whole, before, want, after, aim.treatment, first), most
        if most <= _NEAR:
            break
        want = _plus(want, lack)
    assert best is not None  # noqa: S101 - the first round always sets it
    return best


def _plus(correction: Correction, lack: ToneRecord) -> Correction:
    return Correction(**{axis: getattr(correction, axis) + getattr(lack, axis) for axis in Look._fields})


def _whole(tone: ToneRecord, correction: Correction, treatment: str, first: Toning | None) -> Toning:
    toning = toning_of(tone, correction, treatment)
    return toning if first is None else first.then(toning)

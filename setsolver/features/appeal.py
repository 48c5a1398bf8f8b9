"""Appeal: how glad a client would be of a frame by itself, 1 to 5, with a spread.

The weighted sum of two: what a network says whose last layers were tuned to readings (``tuned``), and a kernel
regression on what two networks say of the frame and on a few of its measures, fitted by
benchmarks/features/fit_appeal.py to photographs that one or two readers rated; the readers were vision-language models
that saw contact sheets, not people. The rubric: 5 = could lead a set: striking, clear subject or place, good light,
good moment; 4 = a strong member; 3 = solid, usable as a supporting picture; 2 = filler, dull, cluttered or weak; 1 =
would never be delivered.
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.measures import Appeal, Detail, Face, Measures, Subject, Tone
from setsolver.features.sight import Sight, feature

__all__ = ["NUMBERS", "Look", "look_of", "numbers_of"]

NUMBERS: Final = 27
"""How many numbers ``numbers_of`` returns."""
_MOST_FACES: Final = 6
"""More faces than these are a crowd like any other."""
_LEAST, _MOST = 1.0, 5.0


class Look(NamedTuple):
    """What appeal is told from, of n frames.

    clip : [n, 512]. places : [n, 768]. lite : [n, 1280]. numbers : [n, 27]. layers : [n, 128]. tuned : [n].
    """

    clip: NDArray[np.floating]
    places: NDArray[np.floating]
    lite: NDArray[np.floating]
    numbers: NDArray[np.floating]
    layers: NDArray[np.floating]
    tuned: NDArray[np.floating]


def numbers_of(tone: Tone, detail: Detail, quality: float, subject: Subject, faces: tuple[Face, ...]) -> list[float]:
    """Return what a frame's measures say: its tone, detail and quality, where its subject is, and its faces."""
    x, y = subject.box.centre
    attention = subject.attention.astype(np.float64)
    evenness = -float((attention * np.log(attention + 1e-9)).sum())
    return [
        *tone,
        detail.sharpness,
        detail.motion,
        detail.grain,
        quality,
        x - 0.5,
        y - 0.5,
        abs(x - 0.5),
        subject.box.area,
        subject.confidence,
        max((face.box.h for face in faces), default=0.0),
        float(min(len(faces), _MOST_FACES)),
        max((face.sharpness for face in faces), default=0.0),
        sum(face.facing == "front" for face in faces) / max(1, len(faces)),
        abs(faces[0].box.centre[0] - 0.5) if faces else 0.0,
        max(faces[0].box.y, 0.0) if faces else 0.3,
        evenness,
    ]


def look_of(found: Measures) -> Look | None:
    """Return what the appeal of one frame is told from; None where a quick scan left CLIP for later."""
    if found.clip is None or found.layers is None or found.tuned is None:
        return None
    numbers = numbers_of(found.tone, found.detail, found.quality, found.subject, found.faces)
    rows = (
        found.clip.embedding,
        found.clip.places,
        found.embedding,
        np.array(numbers),
        found.layers,
        found.tuned.appeal,
    )
    return Look(*(np.asarray(row, np.float64)[None] for row in rows))


@feature("appeal")
def _appeal(sight: Sight) -> Appeal | None:
    look = look_of(sight.found)
    if look is None:
        return None
    head = sight.models.appeal
    value = float(np.clip(head.value(head.at(*look[:-1]), look.tuned)[0], _LEAST, _MOST))
    return Appeal(value, head.spread(value))

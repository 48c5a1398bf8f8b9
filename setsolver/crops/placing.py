"""The best place for a crop of a given size: a coarse look over the room there is, then a finer one about the best."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from setsolver.crops.canvas import crops_at
from setsolver.crops.clearing import harm
from setsolver.crops.framing import Framing, Scenery, judge
from setsolver.domain.cut import Cut
from setsolver.domain.problem import Floats

__all__ = ["MAPPED", "MAPPED_UNSURE", "SURE", "WORTH", "place_crops", "worth"]

COARSE, FINE = 7, 5
CHUNK = 2000
"""Frames judged at once: bounds the memory of a hundred thousand frames."""
WORTH = {
    "subject": 2.0,
    "faces": 8.0,
    "top": 1.0,
    "people": 4.0,
    "figures": 1.0,
    "company": 1.0,
    "headroom": 0.5,
    "heads": 2.0,
    "figure": 2.0,
    "kept": 1.0,
    "air": 0.1,
    "edges": 0.1,
    "room": 1.2,
    "horizon": 0.6,
    "shift": -2.0,
}
"""What each mark of ``Framing`` is worth in choosing a place, for a sure subject. Subject and faces outweigh the rest
together: a crop that keeps them is never given up for a nicer border. Where nothing is cut the middle is kept, as
vision models keep it: half of 282 crops that they placed by eye on sheets lay in the very middle (benchmarks/taste)."""
UNSURE = {"subject": 0.0, "top": 0.0, "kept": 0.5, "air": 0.0, "shift": -5.0}
"""The same for a subject that is a mere guess, where it differs: the middle is what the photographer chose."""
MAPPED = {
    "wanted": 1.0,
    "crossed": 1.0,
    "subject": 2.0,
    "faces": 0.5,
    "top": 3.83,
    "people": 0.68,
    "company": 1.76,
    "headroom": 0.2,
    "kept": 0.7,
    "air": 0.1,
    "edges": 1.28,
    "room": 0.6,
    "horizon": 0.3,
    "free": 0.78,
    "clear": 0.8,
    "shift": -3.03,
}
"""The same where CLIP has mapped the frame: fitted, in logits of being chosen, to crops that readers, vision-language
models, chose among five (benchmarks/features/fit_crop_map.py); the maps bear most of what cuts people and things."""
MAPPED_UNSURE = {"subject": 0.0, "top": 0.0, "air": 0.0}
"""And there for a subject that is a mere guess."""
HARM = 40.0
"""What is lost for all of a head or subject that edge or fold swallow: more than all marks together."""
SURE = 0.6
"""Confidence from which a subject counts in full."""


def place_crops(
    scenery: Scenery, cut: Cut, height: Floats, level: Floats, frame_aspect: Floats
) -> tuple[Floats, Framing]:
    """Return the best crop [F, 4] of height [F] (fractions of the frame's) for each frame, and its marks [F]."""
    parts = [
        _place(scenery.take(rows), cut, height[rows], level[rows], frame_aspect[rows])
        for rows in np.array_split(np.arange(len(height)), max(1, -(-len(height) // CHUNK)))
    ]
    boxes = np.concatenate([box for box, _ in parts])
    return boxes, Framing(*(np.concatenate(marks) for marks in zip(*(marks for _, marks in parts), strict=True)))


def _place(scenery: Scenery, cut: Cut, height: Floats, level: Floats, frame_aspect: Floats) -> tuple[Floats, Framing]:
    at = np.broadcast_to(_grid(COARSE), (len(height), COARSE * COARSE, 2))
    step = 2 / (COARSE - 1)
    for _ in range(2):
        boxes = crops_at(cut.aspect, height, level, frame_aspect, at)
        marks = judge(scenery, boxes)
        best = np.asarray(
            (worth(marks, scenery.sure, scenery.mapped) - HARM * harm(scenery, boxes, cut)).argmax(axis=1)
        )
        rows = np.arange(len(best))
        chosen = boxes[rows, best], marks.pick(best)
        at = np.clip(at[rows, best][:, None, :] + _grid(FINE) * step, -1.0, 1.0)
    return chosen


def worth(marks: Framing, sure: Floats, mapped: Floats) -> Floats:
    """Return the worth of crops [F, P] of frames whose subject is known by ``sure`` [F], with crop maps or without."""
    known = np.clip(sure / SURE, 0.0, 1.0)[:, None]
    return np.where(mapped[:, None] > 0, _sum(marks, known, MAPPED, MAPPED_UNSURE), _sum(marks, known, WORTH, UNSURE))


def _sum(marks: Framing, known: Floats, weights: Mapping[str, float], guessed: Mapping[str, float]) -> Floats:
    """Return the marks as weighed; those in ``guessed`` weigh so much for a mere guess, and in between as known."""
    worth: Floats = np.zeros(1)
    for name, value in weights.items():
        guess = guessed.get(name, value)
        worth = worth + (guess + (value - guess) * known) * getattr(marks, name)
    return worth


def _grid(steps: int) -> Floats:
    """Return places from -1 to 1 in both directions, [1, steps * steps, 2], the middle first: it wins where all tie."""
    line = np.linspace(-1.0, 1.0, steps)
    places = np.stack(np.meshgrid(line, line), axis=-1).reshape(-1, 2)
    return places[np.argsort(np.abs(places).sum(axis=1), kind="stable")][None]

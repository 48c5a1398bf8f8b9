"""How well a crop frames what it shows: marks from 0 (bad) to 1 (no fault), from measures alone.

The marks are trade rules put in numbers (common practice, no source): keep what is looked at, leave air around the
subject, let nothing bright or busy be cut by the border, leave room in front of a face, keep the horizon off the
middle unless the picture is built on symmetry, and stay near the framing that the photographer chose.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from setsolver.crops.attention import running_sums, shares
from setsolver.crops.canvas import turn_attention, turn_boxes, turn_map
from setsolver.crops.columns import FrameColumns
from setsolver.crops.cutting import figure_marks, free_sides, headroom, people_whole, top_kept
from setsolver.crops.mapped import borders, wanted
from setsolver.domain.problem import Floats, Ints

__all__ = ["BORDER", "HEAD", "Framing", "Scenery", "grown", "inside", "judge", "scenery_of"]

AIR = 0.06
"""Air around the subject, as a share of the crop's side, from which the mark is full."""
BLEED = 0.02
"""Distance from the frame's border, as a share of its side, within which something runs out of the frame."""
BORDER = 0.05
"""Width of the border in which attention counts as distraction, as a share of the crop's side."""
FREE, BUSY = 0.3, 1.1
"""Attention in the border, against an even spread, up to which it is free, and from which it is as busy as can be;
under 1 because attention favours the middle (see ``features.subject``)."""
HEAD = (0.1, 0.3, 0.15)
"""Room of a head about its face: at either side, above and below, in widths and heights of the face."""
FIGURE = (1.0, 6.5)
"""A standing figure about its face: at either side, and from the face's top down, in widths and heights of the face: a
little less than the seven and a half heads of an adult (common practice, no source). One that would be taller than the
frame is no full figure."""
LOOKING_ROOM = 0.15
"""How far beyond the middle, away from where it looks, a face should stand for a full mark; shares of the crop."""
OFF_MIDDLE = 1 / 6
"""Distance of the horizon from the crop's middle, as a share of its height, from which the mark is full: the thirds."""
SYMMETRIC = 0.85
"""Correlation of attention with its own mirror image from which a picture counts as built on symmetry."""


class Scenery(NamedTuple):
    """What lies where on the levelled canvas: F frames. sums, figures, held, borders : running
    sums of attention, of the chances that places show a person, and of the two crop maps; mapped : whether there are
    such; sure : of the subject.
    """  # noqa: D205 - one list of fields

    subject: Floats
    sure: Floats
    faces: Floats
    facing: Floats
    everyone: Floats
    sums: Floats
    horizon: Floats
    symmetric: Floats
    figures: Floats
    held: Floats
    borders: Floats
    mapped: Floats

    def take(self, rows: Ints) -> Scenery:
        """Return the scenery of some frames, in this order."""
        return Scenery(*(column[rows] for column in self))


class Framing(NamedTuple):
    """Marks of crops, each [F, P].

    subject : share of the subject's box inside. along : the same, cuts along what the frame itself cuts at both ends
    not counted. faces, heads : least share inside of a main face, and of its whole head (1 without faces). figure :
    share of the largest face's whole figure, were it standing (1 without faces). kept : share of attention inside.
    area : share of the frame inside. air, edges, room, horizon : marks as in the module's words. shift : distance from
    the frame's own centre, fractions of its sides. people, headroom, free, top : as in ``cutting``: no face cut, room
    above faces, sides at which the subject does not run out, share of its height not lost above. figures,
    company, clear : people, faces or not: whole, kept, none at the frame's own ends. wanted, crossed, ended : as
    in ``mapped``: no shares but logits, 0 where the frame has no crop map.
    """

    subject: Floats
    along: Floats
    faces: Floats
    heads: Floats
    figure: Floats
    kept: Floats
    area: Floats
    air: Floats
    edges: Floats
    room: Floats
    horizon: Floats
    shift: Floats
    people: Floats
    headroom: Floats
    free: Floats
    top: Floats
    figures: Floats
    company: Floats
    clear: Floats
    wanted: Floats
    crossed: Floats
    ended: Floats

    def of(self, row: int) -> Framing:
        """Return the marks of one crop, as floats, of marks [M]."""
        return Framing(*(float(mark[row]) for mark in self))  # type: ignore[arg-type]  # one crop's marks

    def pick(self, best: Ints) -> Framing:
        """Return the marks [F] of one crop of each frame."""
        rows = np.arange(len(best))
        return Framing(*(mark[rows, best] for mark in self))


def scenery_of(columns: FrameColumns, level: Floats) -> Scenery:
    """Return what lies where once each frame is levelled by ``level`` [F] degrees."""
    attention = turn_attention(columns.attention, level, columns.aspect)
    return Scenery(
        subject=turn_boxes(columns.subject, level, columns.aspect),
        sure=columns.sure,
        faces=turn_boxes(columns.faces, level, columns.aspect),
        facing=columns.facing,
        everyone=turn_boxes(columns.everyone, level, columns.aspect),
        sums=running_sums(attention),
        horizon=columns.horizon,  # at the centre column, where levelling about the centre moves it by under 1 %
        symmetric=_symmetric(attention),
        figures=running_sums(turn_attention(columns.figures, level, columns.aspect)),
        held=running_sums(turn_map(columns.crop_map[:, 0], level, columns.aspect)),
        borders=running_sums(turn_map(columns.crop_map[:, 1], level, columns.aspect)),
        mapped=columns.mapped,
    )


def _symmetric(attention: Floats) -> Floats:
    centred = attention - attention.mean(axis=(1, 2), keepdims=True)
    flat, mirrored = (grid.reshape(len(grid), -1) for grid in (centred, centred[:, :, ::-1]))
    norm = (flat**2).sum(axis=1)
    return np.where(norm > 0, (flat * mirrored).sum(axis=1) / np.maximum(norm, 1e-300), 0.0)


def judge(scenery: Scenery, boxes: Floats) -> Framing:
    """Return the marks of crops [F, P, 4] (fractions of the canvas)."""
    kept = shares(scenery.sums, boxes)
    figures, company, clear = figure_marks(scenery.figures, boxes)
    subject, along = _subject_inside(scenery.subject[:, None, :], boxes)
    crossed, ended = borders(scenery.borders, boxes)
    return Framing(
        subject=subject,
        along=along,
        faces=_faces_inside(scenery.faces, boxes),
        heads=_faces_inside(grown(scenery.faces, *HEAD), boxes),
        figure=_faces_inside(_figures(scenery.faces[:, :1]), boxes),
        kept=kept,
        area=boxes[..., 2] * boxes[..., 3],
        air=_air(scenery.subject[:, None, :], boxes),
        edges=_edges(scenery.sums, boxes, kept),
        room=_room(scenery, boxes),
        horizon=_horizon(scenery, boxes),
        shift=np.hypot(boxes[..., 0] + boxes[..., 2] / 2 - 0.5, boxes[..., 1] + boxes[..., 3] / 2 - 0.5),
        people=people_whole(scenery.everyone, boxes),
        headroom=headroom(scenery.everyone, boxes),
        free=free_sides(scenery.subject, scenery.sure, boxes),
        top=top_kept(scenery.subject, boxes),
        figures=figures,
        company=company,
        clear=clear,
        wanted=wanted(scenery.held, boxes),
        crossed=crossed,
        ended=ended,
    )


def inside(box: Floats, crop: Floats) -> Floats:
    """Return the share of a box's area inside crops."""
    return _covered(box, crop, 0) * _covered(box, crop, 1)


def _subject_inside(box: Floats, crop: Floats) -> tuple[Floats, Floats]:
    """Return the share of a box inside crops, plain and without the directions in which it runs through the frame."""
    wide, high = _covered(box, crop, 0), _covered(box, crop, 1)
    across, down = ((box[..., at] <= BLEED) & (box[..., at] + box[..., at + 2] >= 1 - BLEED) for at in (0, 1))
    return wide * high, np.where(across, 1.0, wide) * np.where(down, 1.0, high)


def _covered(box: Floats, crop: Floats, at: int) -> Floats:
    """Return the share of a box's width (``at`` 0) or height (1) inside crops."""
    end = np.minimum(box[..., at] + box[..., at + 2], crop[..., at] + crop[..., at + 2])
    overlap = np.maximum(0.0, end - np.maximum(box[..., at], crop[..., at]))
    return np.asarray(np.minimum(overlap / np.maximum(box[..., at + 2], 1e-9), 1.0))


def _faces_inside(faces: Floats, boxes: Floats) -> Floats:
    """Return the least share of a face inside crops, 1 where there is none."""
    least = np.ones(boxes.shape[:-1])
    some = np.flatnonzero(~np.isnan(faces[:, 0, 0]))
    within = inside(faces[some, None, :, :], boxes[some, :, None, :])
    least[some] = np.where(np.isnan(within), 1.0, within).min(axis=2)
    return least


def grown(faces: Floats, side: float, above: float, below: float) -> Floats:
    """Return face boxes with room about them, in widths and heights of the face, as far as the frame goes."""
    left, top = faces[..., 0] - side * faces[..., 2], faces[..., 1] - above * faces[..., 3]
    right, bottom = faces[..., 0] + (1 + side) * faces[..., 2], faces[..., 1] + (1 + below) * faces[..., 3]
    left, top, right, bottom = (np.clip(edge, 0.0, 1.0) for edge in (left, top, right, bottom))
    return np.stack([left, top, right - left, bottom - top], axis=-1)


def _figures(faces: Floats) -> Floats:
    beside, tall = FIGURE
    figures = grown(faces, beside, 0.0, tall - 1.0)
    return np.where(tall * faces[..., 3:] <= 1.0, figures, np.nan)


def _air(subject: Floats, boxes: Floats) -> Floats:
    """Return the least air around the subject against ``AIR``; sides on which the subject is larger than that get 0.

    Where the subject runs out of the frame itself and the crop ends there too, the photographer meant it so.
    """
    least: Floats = np.full(np.broadcast_shapes(subject.shape, boxes.shape)[:-1], np.inf)
    for low, size in ((0, 2), (1, 3)):
        before = subject[..., low] - boxes[..., low]
        after = boxes[..., low] + boxes[..., size] - subject[..., low] - subject[..., size]
        opens = (subject[..., low] <= BLEED) & (boxes[..., low] <= BLEED)
        ends = (subject[..., low] + subject[..., size] >= 1 - BLEED) & (boxes[..., low] + boxes[..., size] >= 1 - BLEED)
        least = np.minimum(least, np.where(opens, np.inf, before / boxes[..., size]))
        least = np.minimum(least, np.where(ends, np.inf, after / boxes[..., size]))
    return np.clip(least / AIR, 0.0, 1.0)


def _edges(sums: Floats, boxes: Floats, kept: Floats) -> Floats:
    """Return 1 where the crop's border draws little attention, 0 where it draws ``BUSY`` of its even share or more."""
    inner = boxes.copy()
    inner[..., :2] += BORDER * boxes[..., 2:]
    inner[..., 2:] *= 1 - 2 * BORDER
    even = 1 - (1 - 2 * BORDER) ** 2
    drawn = (kept - shares(sums, inner)) / np.maximum(kept, 1e-9)
    return np.clip((BUSY - drawn / even) / (BUSY - FREE), 0.0, 1.0)


def _room(scenery: Scenery, boxes: Floats) -> Floats:
    """Return the mark for room in front of the largest face: 0 with its nose at the border."""
    face, facing = scenery.faces[:, :1, :], scenery.facing[:, :1]
    across = (face[..., 0] + face[..., 2] / 2 - boxes[..., 0]) / boxes[..., 2] - 0.5
    mark = np.clip((0.5 - facing * across) / (0.5 + LOOKING_ROOM), 0.0, 1.0)
    return np.where((facing == 0) | np.isnan(across), 1.0, mark)


def _horizon(scenery: Scenery, boxes: Floats) -> Floats:
    """Return the mark for the horizon's place: 0 in the very middle; full where there is none inside, or symmetry."""
    place = (scenery.horizon[:, None] - boxes[..., 1]) / boxes[..., 3]
    mark = np.clip(np.abs(place - 0.5) / OFF_MIDDLE, 0.0, 1.0)
    free = np.isnan(place) | (place < 0) | (place > 1) | (scenery.symmetric[:, None] >= SYMMETRIC)
    return np.where(free, 1.0, mark)

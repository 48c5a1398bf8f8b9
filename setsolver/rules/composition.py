"""Composition: points for a level view, a subject with air, free borders, room for a face, an uneven horizon."""

from __future__ import annotations

import numpy as np

from setsolver.crops.framing import Framing
from setsolver.domain.columns import Column
from setsolver.domain.problem import Floats
from setsolver.rules.borders import CLEAR as CLEAR_BORDERS
from setsolver.rules.chosen import Member
from setsolver.rules.draft import Draft
from setsolver.rules.term import GainTerm

__all__ = ["FAULTS", "Composition", "composition_marks"]

FAULTS = {
    "subject": 0.2,
    "clear": 0.15,
    "kept": 0.1,
    "air": 0.1,
    "edges": 0.15,
    "level": 0.15,
    "room": 0.075,
    "horizon": 0.075,
}
"""Share of the points that each fault can take; together all of them (common practice, no source)."""
BAD = 0.5
"""Mark under which a fault is named."""
CLEAR = (0.3, 0.6)
"""Confidence of the subject at which nothing, and all, of that mark is earned; a wide view needs no subject."""
KEPT = (0.5, 0.95)
"""Share of attention inside the crop at which nothing, and all, of that mark is left."""
AREA = 0.6
"""Share of the frame inside the crop from which the crop counts as the photographer's own framing."""
AS_SHOT = 0.85
"""Share of the frame inside from which a crop may be called framed as shot."""
TILTED = 3.0
"""Degrees off level at which nothing is left of that mark."""

PRAISE = {
    "subject": "whole subject in frame",
    "clear": "stands out",
    "air": "room around it",
    "kept": "framed as shot",
    "edges": "nothing cut at the edges",
    "level": "level",
    "room": "room in front of the face",
    "horizon": "horizon off the middle",
}
SURE = 0.95
"""Mark from which the subject is called whole, with room around it, and the edges free: praise has to be true."""
BLAME = {
    "subject": "the crop cuts the subject",
    "clear": "no clear subject",
    "kept": "the crop drops much of the frame",
    "air": "the subject touches the border",
    "edges": "something is cut at the edges",
    "level": "tilted",
    "room": "no room in front of the face",
    "horizon": "the horizon cuts the picture in half",
}
SPREAD = 0.35
"""Share of the frame from which what was found as its subject is no single thing, and is praised for nothing: shelves
of bowls that the frame cuts on four sides were called whole, with nothing cut. For the words only; points stay."""
LEAST = {"subject": SURE, "air": SURE, "edges": SURE}
OF_SUBJECT = ("clear", "air")
"""What is said of a subject, and so only where one is called whole."""
CUT_FACE, CUT_PERSON = "a face is cut at the edge", "somebody is cut at the edge"
"""Said in place of the fault of the edges where that is the reason."""
CUT = 0.25
"""Mark of the edges that people without a face lose by being cut: they are less surely seen than faces."""

_SURE_OF_SUBJECT = Column(lambda frame: frame.measures.subject.confidence)


class Composition(GainTerm):
    """A crop without a fault earns 1; each fault takes its share."""

    name = "composition"
    key = "weights.composition"
    rank = 42

    def apply(self, draft: Draft) -> None:
        """Pay what the faults leave."""
        table = draft.table
        sure = draft.by_frame(_SURE_OF_SUBJECT)
        clear = clearness(sure, table.odds[:, 0])
        marks = composition_marks(table.marks, table.tilt, table.level_cost, clear)
        draft.pay(self, np.asarray(sum((share * marks[fault] for fault, share in FAULTS.items()), start=np.zeros(1))))

    def says(self, member: Member) -> str:
        """Return the faults, or what is right where there are none."""
        one = Framing(*(np.array([mark]) for mark in member.marks))
        cost = np.array([member.rendition.level_cost])
        sure = np.array([member.rendition.frame.measures.subject.confidence])
        clear = clearness(sure, np.array([member.rendition.odds.wide]))
        marks = composition_marks(one, np.array([member.tilt]), cost, clear)
        bad = [self._fault(fault, member) for fault in FAULTS if marks[fault][0] < BAD]
        told = [fault for fault in PRAISE if marks[fault][0] >= LEAST.get(fault, BAD) and self._tells(fault, member)]
        good = [PRAISE[fault] for fault in told if fault not in OF_SUBJECT or "subject" in told]
        level = member.rendition.level
        turned = [f"turned by {abs(level):.1f} degrees for {100 * cost[0]:.0f} % of its area"] if level else []
        return ", ".join((bad or good) + turned) or "no fault found"

    @staticmethod
    def _fault(fault: str, member: Member) -> str:
        if fault == "edges" and member.marks.people < BAD:
            return CUT_FACE
        return CUT_PERSON if fault == "edges" and cut_people(member.marks) >= BAD else BLAME[fault]

    @staticmethod
    def _tells(fault: str, member: Member) -> bool:
        """Return True where praise says something about this frame: no word on faces where there are none."""
        measures = member.rendition.frame.measures
        if fault == "room":
            return any(face.facing != "front" for face in measures.faces)
        if fault == "horizon":
            return measures.tilt.horizon is not None
        one_thing = measures.subject.box.area <= SPREAD
        if fault == "edges":
            least = min(member.marks.crossed, member.marks.ended)  # a frame may cut what lies at its own sides, too
            return (
                one_thing and measures.crop_map is not None and bool(member.marks.free == 1 and least >= CLEAR_BORDERS)
            )
        if fault in ("subject", *OF_SUBJECT):
            return one_thing and measures.subject.confidence >= sum(CLEAR) / 2
        if fault == "kept":
            return member.rendition.crop.area > AS_SHOT
        return fault != "level" or measures.tilt.degrees is not None


def clearness(sure: Floats, wide: Floats) -> Floats:
    """Return the mark for a subject that stands out, from its confidence and the odds of a wide view, all [M]."""
    nothing, everything = CLEAR
    return np.maximum(np.clip((sure - nothing) / (everything - nothing), 0.0, 1.0), wide)


def cut_people(marks: Framing) -> Floats:
    """Return how far people are cut, faces or not, by the crop and by the frame itself, 0 to 1, [M]."""
    return np.minimum(2 - marks.figures - marks.clear, 1.0)


def composition_marks(marks: Framing, tilt: Floats, level_cost: Floats, clear: Floats) -> dict[str, Floats]:
    """Return the mark, 0 to 1, of each fault in ``FAULTS``, [M] each."""
    nothing, everything = KEPT
    return {
        "subject": marks.subject * marks.faces,
        "clear": clear,
        "kept": np.clip((marks.kept - nothing) / (everything - nothing), 0.0, 1.0) * np.minimum(1.0, marks.area / AREA),
        "air": marks.air,
        "edges": np.maximum(
            0.0, np.minimum(marks.edges, marks.people) * (1 + marks.free) / 2 - CUT * cut_people(marks)
        ),
        "level": np.clip(1.0 - tilt / TILTED - level_cost, 0.0, 1.0),
        "room": marks.room,
        "horizon": marks.horizon,
    }

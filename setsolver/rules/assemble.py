"""From a catalog and a brief to the problem: each rule of the brief becomes one of its terms."""

from __future__ import annotations

import numpy as np

from setsolver.domain.brief import Brief
from setsolver.domain.problem import Problem
from setsolver.domain.snapshot import Snapshot
from setsolver.rules.aspect import Aspect
from setsolver.rules.assembly import Assembly
from setsolver.rules.columns import Floats
from setsolver.rules.composition import Composition
from setsolver.rules.draft import Draft, Rule
from setsolver.rules.gains import GainRule
from setsolver.rules.moment_cap import MomentCap
from setsolver.rules.near_duplicates import NearDuplicates
from setsolver.rules.quality import Quality
from setsolver.rules.rating import Rating, Rejected
from setsolver.rules.renditions import cut_crops
from setsolver.rules.resolution import Resolution
from setsolver.rules.role_fit import RoleFit
from setsolver.rules.roles import Roles
from setsolver.rules.scene_cap import SceneCap
from setsolver.rules.size import Size
from setsolver.rules.tone import Tone
from setsolver.rules.variety import Variety
from setsolver.rules.wishes import Wishes

__all__ = ["GAINS", "assemble"]

FILTERS: tuple[Rule, ...] = (Rejected(), Resolution(), Aspect(), Roles())
GAINS: tuple[GainRule, ...] = (Quality(), RoleFit(), Composition(), Rating())
TERMS: tuple[Rule, ...] = (MomentCap(), SceneCap(), NearDuplicates(), Tone(), Variety())


def assemble(snapshot: Snapshot, brief: Brief) -> Assembly:
    """Return the problem of a brief on a catalog, with the words to speak about it.

    A brief that no set can satisfy is not an error: the solver finds out, and why.

    Raises
    ------
    BadBrief
        For a size above the catalog, or wishes about frames that do not exist, contradict each other or cannot be used.
    TooFewFrames
        Where the rules leave fewer frames than the set needs.
    """
    size, wishes = Size(), Wishes()
    size.check(brief.size, len(snapshot.frames))
    draft = Draft(snapshot, brief, cut_crops(snapshot.frames, brief))
    wishes.apply(draft)
    for rule in FILTERS:
        rule.apply(draft)
    wishes.finish(draft)
    size.apply(draft)
    draft.render()
    for rule in (*GAINS, *TERMS):
        rule.apply(draft)
    return _finished(draft)


def _finished(draft: Draft) -> Assembly:
    playable = np.where(np.isnan(draft.fit), np.nan, 0.0)
    parts = {name: np.asarray(part + playable) for name, part in draft.parts.items()}
    for index, group in enumerate(draft.groups):
        draft.words[f"group_cap[{index}]"] = group.says
    return Assembly(
        snapshot=draft.snapshot,
        brief=draft.brief,
        renditions=draft.renditions,
        problem=_problem(draft, parts),
        parts=parts,
        axes=draft.tone.axes if draft.tone else (),
        ruled_out=tuple(draft.ruled_out),
        words=draft.words,
        reasons=draft.reasons,
        marks=draft.table.marks,
        tilt=draft.table.tilt,
    )


def _problem(draft: Draft, parts: dict[str, Floats]) -> Problem:
    rows = len(draft.renditions)
    arrays = {
        "size": draft.brief.size,
        "frame": draft.table.frame,
        "gain": sum(parts.values(), start=np.zeros(draft.fit.shape)),
        "role_min": draft.role_min,
        "role_max": draft.role_max,
        "place": draft.place,
        "variety_weight": draft.brief.weights.variety,
        "group": np.array([group.labels for group in draft.groups], dtype=np.int64).reshape(len(draft.groups), rows),
        "group_cap": [group.cap for group in draft.groups],
        "conflict": np.array(draft.conflict, dtype=np.int64).reshape(-1, 2),
        "include": draft.included,
        "exclude": draft.excluded,
    }
    if draft.tone is not None:
        arrays |= {
            "tone": draft.tone.tone,
            "tone_weight": draft.tone.weight,
            "tone_slack": draft.tone.slack,
            "tone_reach": draft.tone.reach,
        }
    return Problem.from_arrays(arrays)

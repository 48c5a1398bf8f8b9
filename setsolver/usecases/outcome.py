"""Solution and assembly to the outcome document: the only place that turns indexes back into frames and words."""

from __future__ import annotations

from datetime import datetime
from math import nan
from typing import TYPE_CHECKING

import numpy as np

from setsolver import __version__
from setsolver.domain.alternates import kind_said
from setsolver.domain.columns import moments_of, paths_of
from setsolver.domain.last import Last
from setsolver.domain.outcome import (
    STATUS,
    Clashing,
    Correction,
    Covered,
    Outcome,
    SetFound,
    SetFrame,
    ToneRecord,
)
from setsolver.domain.plan import Placed
from setsolver.domain.rendition import Look
from setsolver.domain.twins import content_part
from setsolver.domain.units import CM_PER_INCH
from setsolver.features.ends import ends_seen
from setsolver.features.twins import twin_signatures
from setsolver.layout import ArrangeItem, Arrangement, arrange
from setsolver.rules import correction, ledger
from setsolver.rules.tone import Tone
from setsolver.solver.alternates import lead_frame
from setsolver.usecases.unsure import unsure_roles
from setsolver.usecases.words import clashes_in_words

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from setsolver.domain.brief import Brief
    from setsolver.domain.problem import Ints
    from setsolver.domain.rendition import Rendition
    from setsolver.domain.slot import Slot
    from setsolver.domain.snapshot import Snapshot
    from setsolver.domain.solution import Choice, Solution
    from setsolver.errors import NoSet
    from setsolver.rules import Assembly

__all__ = ["look_of", "set_found", "to_outcome", "without_set"]


def to_outcome(
    assembly: Assembly, solution: Solution, *, differ: int = 1, notes: tuple[str, ...] = (), repeats: bool = True
) -> Outcome:
    """Return the outcome of a solved assembly; any two of its sets differ by ``differ`` frames.

    repeats : say which repeats of its frames the best set left out.
    """
    first = assembly.slots[min(solution.best.roles)].name if solution.best else ""
    unsure = unsure_roles(assembly, solution.best) if solution.best else ()
    snapshot = assembly.snapshot
    return Outcome(
        made=datetime.now().astimezone().isoformat(timespec="seconds"),
        tool=f"setsolver {__version__}",
        brief=assembly.brief.model_dump(mode="json"),
        catalog=snapshot.folder,
        catalog_frames=len(snapshot.frames),
        considered=len({int(frame) for frame in assembly.problem.frame}),
        renditions=assembly.problem.renditions,
        status=STATUS[solution.status],
        seconds=solution.seconds,
        sets=tuple(set_found(assembly, choice, kind_said(choice.kind, differ, first)) for choice in solution.solutions),
        ruled_out=assembly.ruled_out,
        repeats=_repeats(assembly, solution.best) if solution.best and repeats else (),
        conflict=clashes_in_words(assembly, solution.conflict),
        refused=len(snapshot.refused),
        notes=assembly.notes + unsure + notes + solution.notes,
    )


def without_set(snapshot: Snapshot, brief: Brief, error: NoSet) -> Outcome:
    """Return the outcome of a brief that no set can meet, as was known before any search."""
    return Outcome(
        made=datetime.now().astimezone().isoformat(timespec="seconds"),
        tool=f"setsolver {__version__}",
        brief=brief.model_dump(mode="json"),
        catalog=snapshot.folder,
        catalog_frames=len(snapshot.frames),
        considered=0,
        renditions=0,
        status="none",
        seconds=0.0,
        ruled_out=error.ruled_out,
        conflict=error.clashes or (Clashing(rule="size", says=str(error)),),
        refused=len(snapshot.refused),
    )


def look_of(assembly: Assembly, values: tuple[float, ...]) -> Look:
    """Return the tones among the problem's axes; those that do not count are 0."""
    axes = zip(assembly.axes, values, strict=True)
    tones = {axis.name: value for axis, value in axes if axis.term == Tone.name}
    return Look(**{"black": 0.0, "mid": 0.0, "white": 0.0} | tones)


def set_found(assembly: Assembly, choice: Choice, says: str = "") -> SetFound:
    """Return one set of the outcome, its frames in the order of the layout; says : what set it is, by its kind."""
    look = look_of(assembly, choice.look)
    members = [assembly.renditions[row] for row in choice.chosen]
    slots = [assembly.slots[role] for role in choice.roles]
    arranged = _arranged(assembly, members, slots)
    lead = lead_frame(assembly.problem, choice)
    frames = tuple(
        _set_frame(assembly.brief, members[i], slots[i], look, position).model_copy(
            update={"lead": members[i].frame.id == lead}
        )
        for i, position in zip(arranged.order, arranged.placed, strict=True)
    )
    return SetFound(
        kind=choice.kind,
        says=says or kind_said(choice.kind, 1, ""),
        score=choice.score,
        bound=choice.bound,
        proven=choice.proven,
        look=ToneRecord(**look._asdict()),
        frames=frames,
        ledger=ledger(assembly, choice.chosen, choice.roles, choice.look),
        terms=assembly.chosen_set(choice.chosen, choice.roles, choice.look).phi,
        layout=arranged.plan,
    )


def _appeal(member: Rendition) -> float:
    """Return a frame's appeal from 0 to 1, NaN where nothing told it."""
    appeal = member.frame.measures.appeal
    return nan if appeal is None else (appeal.value - 1) / 4


def _seen(members: list[Rendition]) -> NDArray[np.float32] | None:
    """Return unit vectors [n, 1792] of what both networks say of each frame; None where CLIP has not seen one."""
    measures = [m.frame.measures for m in members]
    clips = [one.clip.embedding for one in measures if one.clip is not None]
    if len(clips) < len(measures) or not clips:
        return None
    return twin_signatures(np.stack([one.embedding for one in measures]), np.stack(clips))


def _arranged(assembly: Assembly, members: list[Rendition], slots: list[Slot]) -> Arrangement:
    seen, nothing = _seen(members), np.zeros(len(members))
    opening, ending = (nothing, nothing) if seen is None else ends_seen(content_part(seen))
    items = [
        ArrangeItem(
            m.frame.path,
            slot.name,
            m.frame.shot.time,
            m.tone.mid,
            slot.ratio,
            slot.print_cm,
            wide=m.odds.wide,
            close=m.odds.close,
            appeal=_appeal(m),
            content=None if seen is None else seen[k],
            opening=float(opening[k]),
            ending=float(ending[k]),
            people=nan if m.frame.measures.people is None else m.frame.measures.people,
        )
        for k, (m, slot) in enumerate(zip(members, slots, strict=True))
    ]
    return arrange(assembly.brief, items)


def _set_frame(brief: Brief, rendition: Rendition, slot: Slot, look: Look, position: Placed) -> SetFrame:
    frame = rendition.frame
    amounts = correction(look, rendition.tone, brief.tone.slack, brief.tone.treatment)
    return SetFrame(
        path=frame.path,
        role=slot.role,
        slot=slot.name,
        aspect=slot.aspect,
        print_cm=slot.print_cm,
        crop=tuple(rendition.crop),
        level_degrees=rendition.level,
        level_cost=rendition.level_cost,
        treatment=rendition.treatment,
        rendition=rendition.kind,
        width=frame.width,
        height=frame.height,
        crop_width=rendition.width,
        crop_height=rendition.height,
        ppi=max(rendition.width, rendition.height) / (slot.print_cm / CM_PER_INCH),
        tone=ToneRecord(**rendition.tone._asdict()),
        correction=Correction(**amounts._asdict()),
        scale=rendition.odds._asdict(),
        time=frame.shot.taken,
        moment=frame.moment,
        scene=frame.scene,
        position=position,
    )


_pairs: Last[Ints] = Last()


def _repeats(assembly: Assembly, best: Choice) -> tuple[Covered, ...]:
    """Return the near-duplicates of the chosen frames and by how many points each was beaten in the same role."""
    snapshot, gain, frame = assembly.snapshot, assembly.problem.gain, assembly.problem.frame
    moment, paths = moments_of(snapshot.frames), paths_of(snapshot.frames)
    pairs = _pairs.of((snapshot.pairs,), lambda: np.array(snapshot.pairs, dtype=np.int64).reshape(-1, 2))
    found = []
    for row, role in zip(best.chosen, best.roles, strict=True):
        winner = int(frame[row])
        alike = set(np.flatnonzero(moment == moment[winner]).tolist()) if moment[winner] >= 0 else set()
        alike |= set(pairs[(pairs == winner).any(axis=1)].ravel().tolist())
        others = np.flatnonzero(np.isin(frame, sorted(alike - {winner})) & ~np.isnan(gain[:, role]))
        paid: dict[int, float] = {}
        for other, points in zip(frame[others].tolist(), gain[others, role].tolist(), strict=True):
            paid[other] = max(points, paid.get(other, -np.inf))
        for other in sorted(paid):
            points = float(gain[row, role]) - paid[other]
            found.append(Covered(path=paths[other], beaten_by=paths[winner], points=points))
    return tuple(found)

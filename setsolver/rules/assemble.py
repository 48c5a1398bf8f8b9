"""From a catalog and a brief to the problem: each term gives its part, weights come last."""

from __future__ import annotations

from setsolver.domain.brief import Brief
from setsolver.domain.slot import Slot
from setsolver.domain.snapshot import Snapshot
from setsolver.errors import BadBrief
from setsolver.rules.assembly import Assembly
from setsolver.rules.draft import Draft
from setsolver.rules.registry import faults_of, terms, weights_of

__all__ = ["assemble"]


def assemble(
    snapshot: Snapshot, brief: Brief, *, modest: bool = False, slots: tuple[Slot, ...] | None = None
) -> Assembly:
    """Return the problem of a brief on a catalog, with the words to speak about it.

    A brief that no set can satisfy is not an error: the solver finds out, and why.

    Parameters
    ----------
    modest : ask for one frame, for none of any slot, and force none in or out, so that rules speak even where the
        catalog cannot give what is asked. What wished frames may do stays as it is.
    slots : other ones than the brief's own, such as those of an album's spreads.

    Raises
    ------
    BadBrief
        For an album's brief where no slots are given. For a size above the catalog, weights and rules that no term has,
        or wishes about frames that do not exist or contradict each other.
    NoSet
        ``TooFewFrames`` where the rules leave fewer frames than the set needs, ``WishClash`` where they leave no place
        for frames that must be in.
    """
    for says in faults_of(brief).values():
        raise BadBrief(says)
    if not snapshot.frames:
        raise BadBrief(f"size = {brief.size}, but the catalog holds no frame; scan a folder with photographs first")
    if brief.album is not None and slots is None:
        raise BadBrief(f"{brief.name} is the brief of an album; make it with `setsolver album FOLDER --brief`")
    draft = Draft.begin(snapshot, brief, modest=modest, slots=slots)
    for term in terms():
        term.apply(draft)
    return _finished(draft)


def _finished(draft: Draft) -> Assembly:
    for index, cap in enumerate(draft.caps):
        draft.words[f"group_cap[{index}]"] = cap.says
    parts, weights = draft.unweighted(), weights_of(terms(), draft.brief.weights)
    for index, at in enumerate(parts.kept(weights)):
        draft.words[f"tone_reach[{index}]"] = draft.words[f"reach of {parts.axes[at].name}"]
    return Assembly(
        snapshot=draft.snapshot,
        brief=draft.brief,
        slots=draft.slots,
        terms=terms(),
        renditions=draft.renditions,
        parts=parts,
        problem=parts.weigh(weights),
        caps=tuple(draft.caps),
        ruled_out=tuple(draft.ruled_out),
        words=draft.words,
        reasons=draft.reasons,
        clashes=tuple(draft.clashes),
        waived={frame: tuple(says) for frame, says in draft.waived.items()},
        table=draft.table,
        parted=tuple(draft.parted),
    )

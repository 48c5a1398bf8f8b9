"""The problem while terms work on it: everything that a term can give is a method here.

Rows are crops. A term may take rows out at any time; what others have given so far goes with them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from setsolver.crops.by_hand import framed_by_hand
from setsolver.crops.rendered import Renditions, to_renditions
from setsolver.crops.renditions import CropTable
from setsolver.crops.warm_crops import cut_crops
from setsolver.domain.brief import Brief, CropWish
from setsolver.domain.columns import Column, paths_of
from setsolver.domain.frame import Frame
from setsolver.domain.outcome import Clashing, RuledOut
from setsolver.domain.problem import Floats, Ints
from setsolver.domain.slot import Slot
from setsolver.domain.snapshot import Snapshot
from setsolver.domain.unweighted import Axis, Place, Unweighted
from setsolver.errors import BadBrief
from setsolver.rules.term import Term
from setsolver.rules.words import nearest

__all__ = ["Barred", "Cap", "Draft", "Parted", "crops_of"]

EXAMPLES = 5


class Cap(NamedTuple):
    """A cap on renditions that share a label: labels [M] (-1 = in no group), the cap, and the words.

    one : what one label is called, such as "scene". says : the rule.
    """

    labels: Ints
    most: int
    one: str
    says: str


class Parted(NamedTuple):
    """Pairs of frames that are never both in, ids [p, 2]; each : told two paths, the rule for them in words."""

    pairs: Ints
    each: Callable[[str, str], str]


class Barred(NamedTuple):
    """What a rule that a wish waives would bar: cells bool[M, R] of wished frames, and its reason for a crop."""

    cells: NDArray[np.bool_]
    why: Callable[[CropTable], str]


def _none() -> Ints:
    return np.zeros(0, dtype=np.int64)


@dataclass
class Draft:
    """Crops with what terms have given so far: M rows, R slots; frames are numbered by their ids.

    slots : [R], the problem's roles. able : bool[M, R], which row may play which slot. fit : [M, R], how well it would,
    0 to 1. grantable : bool[M, R], what would be able without the rules that a wish waives; that of no wished frame is
    the same. barred : cells of wished frames that a rule bars which a wish waives, and its words, by the rule's name.
    words : the problem's keys in plain words. reasons : why each frame that is out is out, by id. waived : what a wish
    waives for a frame, in sentences by its id. modest : asks for no number of frames, so that rules speak whatever the
    catalog holds.
    """

    snapshot: Snapshot
    brief: Brief
    table: CropTable
    slots: tuple[Slot, ...]
    able: NDArray[np.bool_]
    grantable: NDArray[np.bool_]
    fit: Floats
    modest: bool = False
    included: Ints = field(default_factory=_none)
    excluded: Ints = field(default_factory=_none)
    role_min: list[int] = field(default_factory=list)
    role_max: list[int] = field(default_factory=list)
    gains: dict[str, Floats] = field(default_factory=dict)
    axes: list[Axis] = field(default_factory=list)
    places: list[Place] = field(default_factory=list)
    caps: list[Cap] = field(default_factory=list)
    parted: list[Parted] = field(default_factory=list)
    reasons: dict[int, str] = field(default_factory=dict)
    ruled_out: list[RuledOut] = field(default_factory=list)
    words: dict[str, str] = field(default_factory=dict)
    barred: dict[str, Barred] = field(default_factory=dict)
    ways_out: dict[int, str] = field(default_factory=dict)
    clashes: list[Clashing] = field(default_factory=list)
    waived: dict[int, list[str]] = field(default_factory=dict)
    _rendered: Renditions | None = None

    @classmethod
    def begin(
        cls, snapshot: Snapshot, brief: Brief, *, modest: bool = False, slots: tuple[Slot, ...] | None = None
    ) -> Draft:
        """Return the draft of a brief on a catalog: every crop tried, each able to play the slots of its cut.

        slots : other ones than the brief's own.
        """
        slots = brief.slots if slots is None else slots
        cuts = list(dict.fromkeys(slot.cut for slot in slots))
        table = framed_by_hand(cut_crops(snapshot.frames, cuts), snapshot.frames, cuts, crops_of(brief, snapshot))
        able = table.cut[:, None] == np.array([cuts.index(slot.cut) for slot in slots])
        return cls(snapshot, brief, table, slots, able, able.copy(), np.zeros(able.shape), modest)

    @property
    def frames(self) -> Sequence[Frame]:
        """All frames of the catalog; ``table.frame`` indexes them."""
        return self.snapshot.frames

    @property
    def wished(self) -> np.ndarray:
        """Which rows [M] are of frames that the brief includes."""
        return np.isin(self.table.frame, self.included)

    @property
    def renditions(self) -> Renditions:
        """The rows as renditions, with their tones; costly, so best asked once nothing more is taken out."""
        if self._rendered is None:
            self._rendered = to_renditions(self.frames, self.table, self.brief.tone.treatment)
        return self._rendered

    def by_frame(self, values: Column | Iterable[float]) -> Floats:
        """Return a value for each row [M] from one for each frame of the catalog.

        Of a ``Column``, which is made once for all drafts, only frames that changed are read again.
        """
        return self._of_frames(values, np.float64)[self.table.frame]

    def labels(self, numbers: Column | Iterable[int]) -> Ints:
        """Return a label for each row [M] from one for each frame of the catalog; below 0 means in no group."""
        labels: Ints = np.maximum(self._of_frames(numbers, np.int64), -1)[self.table.frame]
        return labels

    def _of_frames(self, values: Column | Iterable[float], dtype: type) -> NDArray[Any]:
        if isinstance(values, Column):
            values = values.of(self.frames)
        if isinstance(values, np.ndarray):
            return values.astype(dtype, copy=False)
        return np.fromiter(values, dtype=dtype, count=len(self.frames))

    def rule_out(
        self, term: Term, bad: np.ndarray, says: Callable[[int], str], why: Callable[[CropTable], str]
    ) -> None:
        """Take rows out, ``bad`` [M], or out of slots, ``bad`` [M, R]; a row that has no slot left is out.

        Frames that lose their last row are counted under the term. says : told the number of such frames, returns the
        sentence. why : told the first crop of one such frame, returns what is wrong with it.

        Rows of wished frames stay for now where the wish waives the term (``waived``): ``grant`` decides.
        """
        bad = np.broadcast_to(bad if bad.ndim == 2 else bad[:, None], self.able.shape)
        if term.waived:
            spared = bad & self.wished[:, None]
            self.barred[term.name] = Barred(spared, why)
            self.grantable = self.grantable & (~bad | spared)
        else:
            self.grantable = self.grantable & ~bad
        self.able = self.able & ~bad
        kept = np.flatnonzero(self.grantable.any(axis=1))
        lost = np.zeros(len(self.frames), dtype=np.bool_)
        lost[self.table.frame] = True
        lost[self.table.frame[kept]] = False
        gone = np.flatnonzero(lost)
        rows = np.flatnonzero(lost[self.table.frame])
        _, first = np.unique(self.table.frame[rows], return_index=True)
        for row in rows[first]:
            frame = int(self.table.frame[row])
            self.reasons[frame], self.ways_out[frame] = why(self.table.take(np.array([row]))), term.way_out
        self._keep(kept)
        if len(gone):
            paths = tuple(self.frames[frame].path for frame in gone[:EXAMPLES])
            self.ruled_out.append(
                RuledOut(rule=term.name, frames=len(gone), says=says(len(gone)), examples=paths, way_out=term.loosening)
            )

    def grant(self, cells: NDArray[np.bool_]) -> None:
        """Let wished frames play the cells [M, R] although rules bar them; what is neither able nor granted goes."""
        self.able = self.able | cells
        self.grantable = self.able.copy()
        self._keep(np.flatnonzero(self.able.any(axis=1)))

    def pay(self, term: Term, worth: Floats) -> None:
        """Give a gain, 0 to 1 and unweighted: [M] for a rendition in any role, or [M, R]."""
        gain = np.nan_to_num(worth if worth.ndim == 2 else worth[:, None])
        self.gains[term.name] = np.broadcast_to(gain, self.able.shape).copy()

    def agree(self, term: Term, name: str, value: Floats, slack: float, reach: float = np.inf, says: str = "") -> None:
        """Give an axis on which the set should agree: value [M] in any unit, costing what lies beyond the slack.

        A set whose values cannot all be within reach + slack of one level is none. says : the axis in words.
        """
        axis = Axis(term.name, name, says or name, np.asarray(value, dtype=np.float64), slack, reach)
        self.words[f"reach of {name}"] = f"reach of {axis.says} ({reach:g})"
        self.axes.append(axis)

    def place(self, term: Term, at: Floats) -> None:
        """Give places [M, D]: a set earns the mean squared distance of each member to the others."""
        self.places.append(Place(term.name, at))

    def cap(self, labels: Ints, most: int, one: str, says: str) -> None:
        """Allow at most so many renditions of one label: labels [M], -1 = in no group."""
        self.caps.append(Cap(labels, most, one, says))

    def part(self, pairs: Iterable[tuple[int, int]] | Ints, says: str, each: Callable[[str, str], str]) -> None:
        """Keep pairs of frames (by id) apart: never both in. each : told the two paths, returns the rule for them."""
        self.words["conflict"] = says
        found = pairs if isinstance(pairs, np.ndarray) else np.array(list(pairs), dtype=np.int64)
        self.parted.append(Parted(found.reshape(-1, 2), each))

    @property
    def conflict(self) -> Ints:
        """All pairs of frames that are kept apart, ids [P, 2]."""
        return np.concatenate([np.zeros((0, 2), np.int64), *(parted.pairs for parted in self.parted)])

    def unweighted(self) -> Unweighted:
        """Return the problem without weights; a modest one asks for one frame, and for none of any slot."""
        rows = len(self.table.frame)
        return Unweighted(
            size=1 if self.modest else self.brief.size,
            frame=self.table.frame,
            playable=self.able,
            role_min=np.array(self.role_min, dtype=np.int64) * (not self.modest),
            role_max=np.array(self.role_max, dtype=np.int64),
            gains=dict(self.gains),
            axes=tuple(self.axes),
            places=tuple(self.places),
            group=np.array([cap.labels for cap in self.caps], dtype=np.int64).reshape(len(self.caps), rows),
            group_cap=np.array([cap.most for cap in self.caps], dtype=np.int64),
            conflict=self.conflict,
            include=_none() if self.modest else self.included,
            exclude=_none() if self.modest else self.excluded,
        )

    def _keep(self, rows: Ints) -> None:
        """Keep some rows, in their order, of everything that has been given."""
        if len(rows) == len(self.table.frame):
            return
        self.table = self.table.take(rows)
        self.able, self.grantable, self.fit = self.able[rows], self.grantable[rows], self.fit[rows]
        self.barred = {term: barred._replace(cells=barred.cells[rows]) for term, barred in self.barred.items()}
        self.gains = {term: gain[rows] for term, gain in self.gains.items()}
        self.axes = [axis._replace(value=axis.value[rows]) for axis in self.axes]
        self.places = [place._replace(at=place.at[rows]) for place in self.places]
        self.caps = [cap._replace(labels=cap.labels[rows]) for cap in self.caps]
        self._rendered = None if self._rendered is None else self._rendered.take(rows)


def crops_of(brief: Brief, snapshot: Snapshot) -> dict[int, CropWish]:
    """Return the crops that the brief frames by hand, by the frame's id.

    Raises
    ------
    BadBrief
        For a path that no frame has.
    """
    if not brief.crops:
        return {}
    ids = {path: at for at, path in enumerate(paths_of(snapshot.frames))}
    for path in brief.crops:
        if path not in ids:
            raise BadBrief(f'crops: no frame of the catalog has the path "{path}"{nearest(path, ids)}')
    return {ids[path]: wish for path, wish in brief.crops.items()}

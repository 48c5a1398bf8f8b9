"""Variety: points for frames that show different things, from their places in content space."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from setsolver.domain.columns import Column
from setsolver.domain.frame import Frame
from setsolver.domain.last import Last
from setsolver.domain.outcome import LedgerLine
from setsolver.domain.patched import Patched
from setsolver.domain.problem import Floats
from setsolver.rules.chosen import ChosenSet
from setsolver.rules.draft import Draft
from setsolver.rules.principal import Principal
from setsolver.rules.term import Term

__all__ = ["DIMENSIONS", "SCALE_SPREAD", "Variety", "content_places"]

DIMENSIONS = 12
"""Principal axes of the catalog's embeddings that are kept: more add noise, and the solver's bounds loosen."""
SCALE_SPREAD = 0.3
"""How far apart wide and close views of one thing stand, against 1 for the length of a place."""


class Variety(Term):
    """A set earns, for each frame, the mean squared distance to the others: 0 the same, 2 nothing in common."""

    name = "variety"
    key = "weights.variety"
    rank = 70

    def apply(self, draft: Draft) -> None:
        """Give each row its place: that of its frame, moved a little by its shot scale."""
        places = content_places(draft.snapshot.frames)
        draft.place(self, np.concatenate([places[draft.table.frame], SCALE_SPREAD * draft.table.odds], axis=1))

    def explain(self, found: ChosenSet) -> list[LedgerLine]:
        """Return one line, on the two frames that are most alike."""
        if len(found.chosen) < 2 or found.weight(self) == 0:
            return []
        at = next(place.at for place in found.parts.places if place.term == self.name)[list(found.chosen)]
        first, second = np.triu_indices(len(at), 1)
        apart = ((at[first] - at[second]) ** 2).sum(axis=1)
        closest = int(apart.argmin())
        alike = found.paths[first[closest]], found.paths[second[closest]]
        return [found.line(self, found.phi[self.name], alike, self.says(float(apart.mean()), *alike))]

    def says(self, mean: float, first: str, second: str) -> str:
        """Return how varied a set is: mean squared distance (0 same, 2 nothing in common), and its closest pair."""
        much = "very varied" if mean >= 1.5 else "varied" if mean >= 0.8 else "little varied"
        return f"{much}; the two most alike are {first} and {second}"


_places: Last[Floats] = Last()
_MOST_KEPT = 30_000
"""Frames up to which their vectors are kept, 5 KB each."""
_EMBEDDINGS = Column(lambda frame: frame.measures.embedding, object)
_vectors = Patched(lambda some: _unit(np.stack(some.tolist()).astype(np.float32)), _EMBEDDINGS, most=_MOST_KEPT)
_axes = Principal()


def content_places(frames: Sequence[Frame]) -> Floats:
    """Return the frames' places in content space: [F, D], unit length, D at most ``DIMENSIONS``.

    Embeddings are scaled to unit length and centred on the catalog, so that what all frames share does not count;
    then projected on their principal axes and scaled to unit length again. A frame at the centre stays there (0).
    Places are kept for the next question on the very same embeddings.
    """
    vectors = _vectors.of(frames)
    return _places.of((vectors,), lambda: _unit(_axes.of(vectors, DIMENSIONS)))


def _unit(vectors: np.ndarray) -> np.ndarray:
    length = np.linalg.norm(vectors, axis=1, keepdims=True)
    return np.where(length > 1e-6, vectors / np.maximum(length, 1e-6), 0.0).astype(vectors.dtype)

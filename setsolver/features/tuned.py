"""What CLIP says whose last layers were tuned to readings of appeal and to the frames that editors picked for sets.

Three of its twelve layers are computed a second time, with small additions that were learned from rated and picked
photographs (benchmarks/features/tune_clip.py), next to the plain ones, which say what they said before. It comes with
the look that ``clip`` takes anyway.
"""

from __future__ import annotations

from setsolver.domain.measures import Tuned
from setsolver.features.clip import seen_by_clip
from setsolver.features.sight import Sight, feature

__all__: list[str] = []


@feature("tuned")
def _tuned(sight: Sight) -> Tuned:
    return Tuned(*sight.once(seen_by_clip).tuned.tolist())

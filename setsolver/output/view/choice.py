"""What the sheet's script needs to write a choice down, as JSON: catalog, brief, and the frames of every set."""

from __future__ import annotations

import json

from setsolver.domain.outcome import Outcome

__all__ = ["choice_data"]


def choice_data(outcome: Outcome) -> str:
    """Return JSON in ASCII, so that names that are no UTF-8 come back from the browser as they are on the disk."""
    told = {
        "catalog": outcome.catalog,
        "brief": str(outcome.brief["name"]),
        "by": str(outcome.brief.get("client") or ""),
        "sets": [[frame.path for frame in found.frames] for found in outcome.sets],
    }
    return json.dumps(told, ensure_ascii=True)

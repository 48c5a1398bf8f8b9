"""What a print is called: by its number and a caption, not by the slug of a file."""

from __future__ import annotations

from datetime import datetime

from setsolver.domain.brief import Brief
from setsolver.domain.outcome import SetFrame
from setsolver.output.view.words import inert

__all__ = ["caption_of", "title_of"]

_ROLES = {"wide": "Wide view", "medium": "Middle distance", "close": "Close view"}


def caption_of(brief: Brief, frame: SetFrame) -> str:
    """Return the caption that the brief gives to a frame, or else its role in words and when it was shot."""
    if brief.captions.get(frame.path):
        return inert(brief.captions[frame.path])
    role = _ROLES.get(frame.role) or _sentence(frame.role)
    return ", ".join(part for part in (role, _when(frame.time)) if part)


def title_of(brief: Brief) -> str:
    """Return the brief's title, or else its name read as words: "wall-three" is "Wall three"."""
    return inert(brief.title) or _sentence(brief.name)


def _sentence(slug: str) -> str:
    words = inert(slug).replace("-", " ").replace("_", " ")
    return words[:1].upper() + words[1:]


def _when(iso: str | None) -> str:
    try:
        when = datetime.fromisoformat(iso or "")
    except ValueError:
        return ""
    return f"{when.day} {when:%B %Y}" + (f"{when:, %H:%M}" if "T" in (iso or "") else "")

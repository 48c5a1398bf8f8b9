"""Which times a photograph can have been taken at."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final

__all__ = ["believable"]

_FIRST_PHOTOGRAPH: Final = 1826
_AHEAD: Final = timedelta(days=2)
"""A clock this far ahead of ours is set wrong: time zones account for less."""


def believable(time: datetime) -> datetime | None:
    """Return the time, or None where no photograph was taken then: before 1826 or in the future."""
    return time if time.year >= _FIRST_PHOTOGRAPH and time <= datetime.now() + _AHEAD else None  # noqa: DTZ005 - naive local, as Exif

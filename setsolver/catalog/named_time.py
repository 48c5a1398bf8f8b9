"""The time of capture that a file's name gives, for files whose metadata has none.

Read are a date of year, month and day, with or without hyphens, dots or underscores between them, and a time of day
behind it: IMG_20240513_142233, 2024-05-13 14.22.33, 20240513T142233123. A date alone (IMG-20240513-WA0007) gives the
day. How cameras, telephones and messengers name files is common practice, no source; that names with PXL_ are in UTC is
from memory. What no calendar or clock shows, or lies ahead of today, is no time.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import PurePosixPath
from typing import Final

from setsolver.catalog.dates import believable
from setsolver.domain.frame import DAY_IN_NAME, IN_METADATA, IN_NAME, Shot

__all__ = ["with_named_time"]

_DATE: Final = re.compile(r"(?<!\d)((?:19|20)\d\d)([-_.]?)(\d\d)\2(\d\d)(?=\d{6}(?:\d{3})?(?!\d)|(?!\d))")
_CLOCK: Final = re.compile(r"(?:[-_.T ]{0,2}|[ _]at[ _])(\d\d)([-_.:]?)(\d\d)\2(\d\d)(?:[-_.]?(\d{3}))?(?!\d)")
"""Hours, minutes, seconds and thousandths, right behind a date."""
_IN_UTC: Final = "PXL_"
_OLDEST: Final = 1990
"""Files are named by cameras since about then; an older year is more likely a number, or that of a print."""


def with_named_time(shot: Shot, path: str) -> Shot:
    """Return a shot with where its time is from: its metadata, else its file's name, else nowhere.

    Parameters
    ----------
    path : of the file, with forward slashes; folders do not count.
    """
    if shot.time is not None:
        return replace(shot, time_from=IN_METADATA)
    name = PurePosixPath(path).stem
    for date in _DATE.finditer(name):
        day = _made(*(int(date[part]) for part in (1, 3, 4)))
        if day is None:
            continue
        time = _at(day, name[date.end() :])
        if time is None:
            return replace(shot, time=day, time_from=DAY_IN_NAME)
        return replace(shot, time=time, utc_offset=0 if name.startswith(_IN_UTC) else None, time_from=IN_NAME)
    return shot


def _made(year: int, month: int, day: int) -> datetime | None:
    try:
        date = datetime(year, month, day)  # noqa: DTZ001 - naive local, as Exif
    except ValueError:
        return None
    return believable(date) if year >= _OLDEST else None


def _at(day: datetime, behind: str) -> datetime | None:
    """Return the time on a day that stands right behind its date, None where there is none."""
    found = _CLOCK.match(behind)
    if found is None:
        return None
    hour, minute, second = (int(found[part]) for part in (1, 3, 4))
    if hour > 23 or minute > 59 or second > 59:
        return None
    part = timedelta(milliseconds=int(found[5] or 0))
    return believable(day + timedelta(hours=hour, minutes=minute, seconds=second) + part)

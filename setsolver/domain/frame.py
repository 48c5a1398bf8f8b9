"""A frame of a catalog: its file, when and how it was shot, and what was measured."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from math import log2
from typing import Final

from setsolver.domain.measures import Measures, ScaleOdds

__all__ = ["DAY_IN_NAME", "IN_METADATA", "IN_NAME", "Frame", "Shot"]

IN_METADATA: Final = "metadata"
IN_NAME: Final = "file name"
DAY_IN_NAME: Final = "day in file name"
"""Where a time is from, the most trusted first; of the last only the date is known, and it stands at 0:00."""


@dataclass(frozen=True, slots=True)
class Shot:
    """Metadata, each None where absent or absurd.

    time : naive local time of capture with sub-seconds. utc_offset : minutes east of UTC. rating : -1 (rejected) to 5.
    keywords : as found (IPTC/XMP dc:subject). distance_m : subject distance in metres. body : camera's serial number.
    remark : what of the metadata could not be used and why, empty if nothing. time_from : where the time is from, as
    above, and by how much the user said that the clock was off; empty where no time is known or nobody asked.
    """

    time: datetime | None = None
    utc_offset: int | None = None
    camera: str | None = None
    lens: str | None = None
    focal_mm: float | None = None
    focal35_mm: float | None = None
    aperture: float | None = None
    exposure_s: float | None = None
    iso: float | None = None
    distance_m: float | None = None
    rating: float | None = None
    keywords: tuple[str, ...] = ()
    body: str | None = None
    remark: str = ""
    time_from: str = ""

    @property
    def light(self) -> float | None:
        """Exposure value at ISO 100 that the exposure was set for, EV: log2(N^2 / t) - log2(ISO / 100) (ISO 2720)."""
        if self.aperture is None or self.exposure_s is None or self.iso is None:
            return None
        return log2(self.aperture**2 / self.exposure_s) - log2(self.iso / 100)

    @property
    def taken(self) -> str | None:
        """The local time of capture as ISO 8601 writes it, the date alone where no more is known."""
        if self.time is None:
            return None
        return self.time.date().isoformat() if self.time_from == DAY_IN_NAME else self.time.isoformat()

    @property
    def instant(self) -> float | None:
        """Seconds since the epoch; local time is read as UTC where no offset is known. None where only a day is."""
        return None if self.time_from == DAY_IN_NAME else self.day_or_instant

    @property
    def day_or_instant(self) -> float | None:
        """The same, and the start of the day where only the day is known."""
        if self.time is None:
            return None
        zone = timezone(timedelta(minutes=self.utc_offset or 0))
        return self.time.replace(tzinfo=zone).timestamp()


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """One frame. ``path`` is relative to the catalog with forward slashes; size is that of the upright full picture.

    moment, scene, chapter : labels from grouping, -1 before it. ``said`` : the user's own scale, which wins
    over ``odds``. turn : degrees clockwise by which the user said that the file's picture has to be turned to stand
    upright (all of the frame's numbers are then of the turned picture), None where nothing was said. stars : 0 to 5,
    the user's own, said here (``given_stars`` are also those of the metadata). said_kind : the user's word for the
    kind. note : what a reader should know (preview used, profile missing, ...), empty if nothing. content : digest of
    the file's content as it was measured, empty where it is of no index.
    """

    id: int
    path: str
    width: int
    height: int
    file_bytes: int
    shot: Shot
    measures: Measures
    moment: int = -1
    scene: int = -1
    chapter: int = -1
    said: str | None = None
    turn: int | None = None
    stars: float | None = None
    said_kind: str | None = None
    note: str = ""
    content: bytes = b""

    @property
    def aspect(self) -> float:
        """Width over height."""
        return self.width / self.height

    @property
    def upright(self) -> int | None:
        """Degrees clockwise that make the frame stand upright, 0 where the user said so; None where nobody can tell."""
        if self.turn is not None:
            return 0
        return None if self.measures.upright is None else self.measures.upright.turn

    @property
    def given_stars(self) -> float | None:
        """The user's stars, 0 to 5: those said here, else a rating of 1 to 5 in the metadata, where 0 means unrated."""
        if self.stars is not None:
            return self.stars
        rating = self.shot.rating
        return rating if rating is not None and rating > 0 else None

    @property
    def kind(self) -> str:
        """One of ``KINDS``: the user's word, else as measured; a photograph where a quick scan left it for later."""
        if self.said_kind is not None:
            return self.said_kind
        return "photograph" if self.measures.kind is None else self.measures.kind.best

    @property
    def odds(self) -> ScaleOdds:
        """Shot scale: the user's word where given, else as measured."""
        if self.said is None:
            return self.measures.odds
        return ScaleOdds(*(1.0 if self.said == scale else 0.0 for scale in ScaleOdds._fields))

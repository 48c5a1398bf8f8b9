"""Exif tags to a ``Shot`` (CIPA DC-008, Exif 2.32:2019); absent, unknown and absurd values become None.

The GPS directory is never read.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from PIL import Image

from setsolver.catalog.dates import believable
from setsolver.domain.frame import Shot

__all__ = ["names_oprgb", "shot_from_exif"]

_EXIF_DIRECTORY = 0x8769
_INTEROPERABILITY = 0xA005
_COLOUR_SPACE, _UNCALIBRATED = 0xA001, 0xFFFF
_TIME = re.compile(r"\s*(\d{4})[:-](\d\d)[:-](\d\d)[ T](\d\d):(\d\d):(\d\d)")
_OFFSET = re.compile(r"\s*([+-])(\d\d):(\d\d)")
_INFINITY = 0xFFFFFFFF


def shot_from_exif(exif: Image.Exif) -> Shot:
    """Return what the tags say; ``exif`` as Pillow reads it from any format."""
    own: Mapping[int, Any] = _directory(exif)
    time, offset = _time(own)
    return Shot(
        time=time,
        utc_offset=offset,
        camera=_camera(exif),
        lens=_text(own.get(0xA434)),
        focal_mm=_between(own.get(0x920A), 1, 5000),
        focal35_mm=_between(own.get(0xA405), 1, 5000),
        aperture=_between(own.get(0x829D), 0.5, 128) or _from_apex(own.get(0x9202), 0.5),
        exposure_s=_between(own.get(0x829A), 1e-6, 86400) or _from_apex(own.get(0x9201), -1.0),
        iso=_between(own.get(0x8827), 1, 10_000_000),
        distance_m=_distance(own.get(0x9206)),
        body=_text(own.get(0xA431)),
    )


def names_oprgb(exif: Image.Exif) -> bool:
    """Tell whether the tags name the wide colour space that cameras offer beside sRGB, today's opRGB.

    Such a file has ColorSpace "uncalibrated" and InteroperabilityIndex "R03", a "DCF option file" (Exif 2.3 and
    CIPA DC-009, DCF 2.0; from memory).
    """
    if _directory(exif).get(_COLOUR_SPACE) != _UNCALIBRATED:
        return False
    return _text(_directory(exif, _INTEROPERABILITY).get(1)) == "R03"


def _directory(exif: Image.Exif, tag: int = _EXIF_DIRECTORY) -> Mapping[int, Any]:
    try:
        return exif.get_ifd(tag)
    except Exception:  # noqa: BLE001 - a damaged directory is as good as none, whatever the parser stumbled on
        return {}


def _time(own: Mapping[int, Any]) -> tuple[datetime | None, int | None]:
    """Return local time with sub-seconds and the offset in minutes; DateTimeOriginal, else DateTimeDigitized."""
    for time_tag, part_tag, offset_tag in ((0x9003, 0x9291, 0x9011), (0x9004, 0x9292, 0x9012)):
        found = _TIME.match(_text(own.get(time_tag)) or "")
        if not found:
            continue
        try:
            time = datetime(*(int(part) for part in found.groups()))  # type: ignore[arg-type] # noqa: DTZ001 - naive
        except ValueError:
            continue
        digits = re.match(r"\d+", _text(own.get(part_tag)) or "")
        fraction = timedelta(seconds=float(f"0.{digits[0]}") if digits else 0.0)
        if believable(time):
            return time + fraction, _offset(own.get(offset_tag))
    return None, None


def _offset(value: Any) -> int | None:
    found = _OFFSET.match(_text(value) or "")
    if not found:
        return None
    minutes = int(found[2]) * 60 + int(found[3])
    return (minutes if found[1] == "+" else -minutes) if minutes <= 14 * 60 else None


def _camera(exif: Image.Exif) -> str | None:
    make, model = _text(exif.get(0x010F)), _text(exif.get(0x0110))
    if make and model and not model.lower().startswith(make.lower().split()[0]):
        return f"{make} {model}"
    return model or make


def _text(value: Any) -> str | None:
    """Return a tag's text up to its NUL, trimmed; None where nothing is left."""
    if isinstance(value, bytes):
        value = value.decode("utf-8", "replace")
    return (value.split("\0")[0].strip() or None) if isinstance(value, str) else None


def _number(value: Any) -> float | None:
    """Return a finite number; a tuple gives its first (ISO may hold two)."""
    if isinstance(value, tuple):
        value = value[0] if value else None
    try:
        number = float(value)
    except (TypeError, ValueError, ZeroDivisionError, OverflowError):
        return None
    return number if math.isfinite(number) else None


def _between(value: Any, least: float, most: float) -> float | None:
    number = _number(value)
    return number if number is not None and least <= number <= most else None


def _from_apex(value: Any, per_stop: float) -> float | None:
    """Return 2^(APEX * per_stop): f-number from Av (1/2), seconds from Tv (-1); Exif annex C."""
    number = _between(value, -20, 20)
    return None if number is None else 2.0 ** (number * per_stop)


def _distance(value: Any) -> float | None:
    """Return metres; numerator 0 means unknown, 0xFFFFFFFF infinity."""
    if getattr(value, "numerator", None) == _INFINITY:
        return math.inf
    return _between(value, 1e-3, 1e6)

"""What is known of every frame, as it goes into truth.json."""

from demo_catalog.make.develop import Exposure
from demo_catalog.make.shot import Shot
from demo_catalog.make.subjects import SUBJECTS
from demo_catalog.make.takes import Take

WIDE_FROM, CLOSE_TO = 3.5, 0.7  # metres along the long side of the frame, at the distance in focus


def scale_of(framed: float) -> str:
    """Wide, medium or close by the framed width in metres."""
    return "wide" if framed >= WIDE_FROM else "close" if framed <= CLOSE_TO else "medium"


def record(path: str, take: Take, shot: Shot, exposure: Exposure, zoom: float, size: tuple[int, int]) -> dict:
    """One frame of truth.json; units are in the names of the keys."""
    framed = shot.framed_metres() / zoom
    return {
        "path": path,
        "shot": shot.name,
        "place": shot.place,
        "scene": f"{shot.place}, {shot.light}",
        "burst": take.burst,
        "near_duplicate": take.twin,
        "subject": SUBJECTS[shot.name],
        "scale": scale_of(framed),
        "framed_metres": round(framed, 3),
        "size": list(size),
        "roll_degrees": round(shot.roll - take.turn, 3),
        "horizon_in_view": shot.horizon,
        "exposure_ev": take.ev,
        "seconds": list(exposure.seconds),
        "iso": exposure.iso,
        "white_balance_stops": {"red": take.warm[0], "blue": take.warm[1]},
        "focus_metres": round(shot.focus_distance(), 3),
        "f_number": shot.f_number,
        "focal_mm": shot.focal,
        "shift_pixels": list(take.shift),
        "softness_pixels": take.soft,
        "shake_pixels": take.shake,
        "faults": list(take.faults),
    }


def heading() -> dict:
    """The thresholds and conventions that the records rest on."""
    return {
        "format": "setsolver/demo-truth",
        "version": 1,
        "scale": {
            "wide_from_metres": WIDE_FROM,
            "close_to_metres": CLOSE_TO,
            "measured": "long side of the frame in the plane of focus",
        },
        "roll": "degrees; positive when the right end of the horizon is the lower one",
        "exposure": "EV away from what the meter gave; the tone curve is linear up to 0.42 of white",
        "white_balance": "stops added to red and blue in linear sRGB",
        "rendered": True,
    }

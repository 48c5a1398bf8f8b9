"""Write the catalog: JPEGs with EXIF, and truth.json."""

import io
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
from PIL import Image

from demo_catalog.make.day import PARTS
from demo_catalog.make.develop import Exposure, develop, field_of, meter
from demo_catalog.make.exif import exif_for
from demo_catalog.make.hours import SETTINGS
from demo_catalog.make.shot import Shot
from demo_catalog.make.shots import every_shot
from demo_catalog.make.takes import Take
from demo_catalog.make.truth import heading, record

MOST_BYTES, MOST_BYTES_BIG = 245_000, 3_600_000


def write_catalog(linear: Path, out: Path) -> int:
    """Develop every take whose render is in `linear` into `out`; returns how many there are."""
    shots = {shot.name: shot for shot in every_shot()}
    number, records = 0, []
    for part, takes in PARTS.items():
        (out / part).mkdir(parents=True, exist_ok=True)
        for old in (out / part).glob("*.jpg"):
            old.unlink()
        for take in takes:
            number += 1
            if (linear / f"{take.shot}.npy").exists():
                records.append(_write(linear, out, f"{part}/{number:04d}.jpg", take, shots[take.shot]))
    text = json.dumps(heading() | {"frames": records}, indent=1)
    (out / "truth.json").write_text(text + "\n", encoding="utf-8")
    return len(records)


def _write(linear: Path, out: Path, path: str, take: Take, shot: Shot) -> dict:
    picture = np.load(linear / f"{take.shot}.npy")
    exposure = _expose(picture, take, shot)
    values = develop(picture, _balanced(take, shot), exposure)
    zoom = 1.0 if take.whole else 1 / field_of(take, shot.long_side)
    tags = exif_for(take, shot, exposure, zoom, shot.focus_distance())
    most = MOST_BYTES_BIG if take.whole else MOST_BYTES
    (out / path).write_bytes(_jpeg(Image.fromarray(values), tags, most))
    return record(path, take, shot, exposure, zoom, (values.shape[1], values.shape[0]))


def _expose(picture: np.ndarray, take: Take, shot: Shot) -> Exposure:
    """The frames of a burst share ISO and metering; only the planted error differs."""
    setting = SETTINGS[shot.light]
    return meter(picture, shot, take.iso or setting.iso, take.ev, setting)


def _balanced(take: Take, shot: Shot) -> Take:
    """Add the camera's white balance for the light to the planted shift."""
    gains = SETTINGS[shot.light].gains
    return replace(take, warm=(take.warm[0] + gains[0], take.warm[1] + gains[1]))


def _jpeg(picture: Image.Image, tags: Image.Exif, most: int) -> bytes:
    """The best quality that stays under `most` bytes."""
    for quality in (88, 84, 80, 76, 72, 67, 62, 56, 50):
        buffer = io.BytesIO()
        picture.save(buffer, "JPEG", quality=quality, subsampling="4:2:0", optimize=True, exif=tags)
        if buffer.tell() <= most:
            break
    return buffer.getvalue()

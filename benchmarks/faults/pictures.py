"""Damaged pictures and sidecars, scanned: every one is a frame or refused with a reason, and nothing else happens."""

from __future__ import annotations

import io
import random
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from checks import NotKept, index_is_sound, no_part_is_left, the_same
from mutate import mutated
from PIL import Image

from setsolver.usecases.scan import scan

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["run_pictures"]

_HEIC = Path(__file__).parents[2] / "tests" / "data" / "metadata" / "jar.heic"
_SIDECAR = b"""<?xpacket begin=''?><x:xmpmeta xmlns:x='adobe:ns:meta/'><rdf:RDF
xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#'><rdf:Description xmlns:xmp='http://ns.adobe.com/xap/1.0/'
xmp:Rating='4' xmp:CreateDate='2026-05-02T09:10:11'/></rdf:RDF></x:xmpmeta>"""
_A_FOLDER = 250


def bases() -> dict[str, bytes]:
    """Return a sound picture of each kind, by the ending of its name."""
    pixels = (np.indices((240, 320)).sum(0)[..., None] * (1, 2, 3) % 256).astype(np.uint8)
    image, exif = Image.fromarray(pixels), Image.Exif()
    exif.get_ifd(0x8769)[0x9003] = "2026:05:02 09:10:11"
    ways: dict[str, dict[str, object]] = {
        "base.jpg": {"format": "JPEG", "exif": exif},
        "progressive.jpg": {"format": "JPEG", "progressive": True, "exif": exif},
        "plain.png": {"format": "PNG"},
        "lossy.webp": {"format": "WEBP"},
        "lossless.webp": {"format": "WEBP", "lossless": True},
        "raw.tif": {"format": "TIFF"},
        "lzw.tif": {"format": "TIFF", "compression": "tiff_lzw"},
        "deflate.tif": {"format": "TIFF", "compression": "tiff_adobe_deflate"},
    }
    found = {name: _saved(image, **options) for name, options in ways.items()}
    found["deep.tif"] = _saved(Image.fromarray(pixels[..., 0].astype(np.int32) * 200), format="TIFF")
    found["cmyk.jpg"] = _saved(image.convert("CMYK"), format="JPEG")
    return found | {"jar.heic": _HEIC.read_bytes()}


def _saved(image: Image.Image, **options: object) -> bytes:
    out = io.BytesIO()
    image.save(out, **options)  # type: ignore[arg-type]
    return out.getvalue()


def run_pictures(count: int, seed: int, where: Path, factory: Callable[[], object]) -> Counter[str]:
    """Scan ``count`` damaged pictures, a few hundred a folder, and return how many became what.

    Raises
    ------
    NotKept
        Where a file is neither frame nor refused, or one was changed, or the index is unsound.
    """
    counts: Counter[str] = Counter()
    sound = bases()
    for start in range(0, count, _A_FOLDER):
        folder = where / f"pictures-{start}"
        folder.mkdir()
        names = [_one(folder, number, sound, seed) for number in range(start, min(count, start + _A_FOLDER))]
        before = the_same(folder)
        report = scan(folder, factory=factory, workers=2)  # type: ignore[arg-type]
        counts += _judged(folder, names, report)
        the_same(folder, before)
        index_is_sound(folder)
        no_part_is_left(folder)
        again = scan(folder, factory=factory, workers=2)  # type: ignore[arg-type]
        if (again.new, again.changed, again.frames) != (0, 0, report.frames):
            raise NotKept(f"{folder}: a second scan finds {again}")
    return counts


def _one(folder: Path, number: int, sound: dict[str, bytes], seed: int) -> str:
    chance = random.Random(f"{seed} {number}")
    kind = chance.choice(sorted(sound))
    name = f"{number:06d}-{kind}"
    (folder / name).write_bytes(mutated(sound[kind], chance))
    if chance.random() < 0.3:
        (folder / f"{name}.xmp").write_bytes(mutated(_SIDECAR, chance))
    return name


def _judged(folder: Path, names: list[str], report: object) -> Counter[str]:
    whys = {out.path: out.why for out in report.refused}  # type: ignore[attr-defined]
    strange = whys.keys() - set(names)
    if strange or report.frames + len(whys) != len(names):  # type: ignore[attr-defined]
        raise NotKept(f"{folder}: {len(names)} files, {report}")
    for name, why in whys.items():
        if not why or "\n" in why or "Traceback" in why:
            raise NotKept(f"{folder / name}: refused with {why!r}")
    counts = Counter(_short(why) for why in whys.values())
    counts["frame"] = report.frames  # type: ignore[attr-defined]
    return counts


def _short(why: str) -> str:
    if "crashes" in why:
        return "refused: it kills its worker"
    return "refused: it takes too long" if "takes longer" in why else "refused with a reason"

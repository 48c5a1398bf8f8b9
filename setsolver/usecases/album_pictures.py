"""The pictures of an album at their printed size: each made as a print is, from its original, and measured."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from functools import partial
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from PIL import Image, ImageCms

from setsolver.catalog.pairing import RAW, companion_of
from setsolver.catalog.paths import to_file
from setsolver.catalog.place import index_file
from setsolver.catalog.reader import content_hash, picture
from setsolver.catalog.store import Store
from setsolver.domain.brief import Brief
from setsolver.domain.outcome import SetFrame
from setsolver.domain.plan import Placed
from setsolver.domain.units import CM_PER_INCH
from setsolver.errors import FrameRefused
from setsolver.interrupts import held
from setsolver.output.album import Drawn
from setsolver.render.save import srgb_profile
from setsolver.usecases.finish_print import Job
from setsolver.usecases.finish_run import made, side_by_side
from setsolver.usecases.finish_size import Wish
from setsolver.usecases.finish_tone import SMALL, Aim
from setsolver.usecases.reopened import brief_of
from setsolver.usecases.tasks import READ

if TYPE_CHECKING:
    from setsolver.domain.album import Album, AlbumFrame, AlbumSpread
    from setsolver.domain.finish import FinishedPrint

__all__ = ["Made", "make_pictures", "smaller"]

Key = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Made:
    """A picture that was made. file : its JPEG. record : what was measured on it."""

    file: Path
    record: FinishedPrint

    def drawn(self) -> Drawn:
        """Return it as it goes into a PDF."""
        return Drawn(self.file.read_bytes(), self.record.width, self.record.height)


def make_pictures(  # noqa: PLR0913 - what is made, of what, where, how, and who is told
    album: Album,
    catalog: Path,
    folder: Path,
    wish: Wish,
    progress: Callable[[str, int, int], None],
    workers: int | None = None,
    *,
    apart: bool = False,
    heed: Callable[[], None] = lambda: None,
) -> dict[Key, Made]:
    """Make every picture of an album, a JPEG each, at the wish's pixels an inch or as many as its crop has.

    Parameters
    ----------
    wish : of JPEGs, in what profile, at how many pixels an inch at most.
    apart, heed : as ``finish_run.made`` takes them.

    Returns
    -------
    By number of spread and place on it.

    Raises
    ------
    FrameRefused
        Where an original is gone, has changed since it was measured, cannot be read, or crashes its decoder; with its
        path.
    """
    brief = brief_of(album)
    keys = {id(job): (key, job) for key, job in _jobs(album, brief, catalog)}
    jobs = [job for _, job in keys.values()]
    pictures: dict[Key, Made] = {}
    progress("pictures", 0, len(jobs))
    at_once = workers or side_by_side(jobs, wish)
    with held(), closing(made(jobs, wish, folder, at_once, heed, apart=apart)) as coming:
        for job, one in coming:
            if isinstance(one, FrameRefused):
                raise FrameRefused(f"{job.frame.path} cannot be printed: {one}")
            pictures[keys[id(job)][0]] = Made(folder / one.file, one)
            progress("pictures", len(pictures), len(jobs))
    return pictures


def _jobs(album: Album, brief: Brief, catalog: Path) -> Iterator[tuple[Key, Job]]:
    with Store(index_file(catalog), *READ) as store:
        known = store.known()
    for spread in album.spreads:
        aim = Aim(spread.look, brief.tone.slack, brief.tone.treatment, brief.tone.reach)
        for number, frame in enumerate(spread.frames):
            row = known.get(frame.path)
            turn = 0 if row is None else row.turn
            file = to_file(catalog, frame.path)
            digest = _unchanged(file, b"" if row is None else row.digest, frame.path)
            yield (
                (spread.number, number),
                Job(
                    number=number + 1,
                    frame=_as_print(spread, frame),
                    file=file,
                    raw=file.suffix[1:].lower() in RAW,
                    turn=turn,
                    name=f"{spread.number:03d}-{number:02d}",
                    digest=digest.hex(),
                    aim=aim,
                    judged=partial(picture, file, SMALL, turn),
                    packet=lambda _: b"",
                    alone=True,
                ),
            )


def _unchanged(file: Path, known: bytes | str, path: str) -> bytes:
    if not file.is_file():
        raise FrameRefused(f"{path}: its original is gone; bring it back, or make the album again")
    digest = content_hash(file, companion_of(file))
    if known and digest != known:
        raise FrameRefused(f"{path}: its original has changed since it was measured; make the album again")
    return digest


def _as_print(spread: AlbumSpread, frame: AlbumFrame) -> SetFrame:
    """Return a picture as finishing takes prints: at its size on the page."""
    at = frame.place
    return SetFrame(
        path=frame.path,
        role=frame.slot,
        slot=frame.slot,
        crop=frame.crop,
        level_degrees=frame.level_degrees,
        level_cost=0.0,
        treatment=frame.treatment,
        rendition=spread.kind,
        width=frame.width,
        height=frame.height,
        crop_width=frame.crop_width,
        crop_height=frame.crop_height,
        ppi=frame.ppi,
        tone=frame.tone,
        correction=frame.correction,
        scale={},
        position=Placed(x_cm=0, y_cm=0, width_cm=at.width_cm, height_cm=at.height_cm),
    )


def smaller(made: Made, width_cm: float, ppi: float, quality: int = 82) -> Drawn:
    """Return a picture at a size on a screen or a thumbnail, in sRGB; never larger than it is."""
    pixels = max(8, round(width_cm / CM_PER_INCH * ppi))
    with Image.open(made.file) as image:
        image.draft("RGB", (pixels, pixels))
        scale = min(1.0, pixels / image.width)
        size = max(1, round(image.width * scale)), max(1, round(image.height * scale))
        small = _in_srgb(image.convert("RGB").resize(size, Image.Resampling.LANCZOS), image.info.get("icc_profile"))
    data = BytesIO()
    small.save(data, "JPEG", quality=quality)
    return Drawn(data.getvalue(), *size)


def _in_srgb(image: Image.Image, profile: bytes | None) -> Image.Image:
    """Return a picture whose codes a screen shows, from those of the profile that it was printed in."""
    if profile is None or profile == srgb_profile():
        return image
    source, screen = (ImageCms.ImageCmsProfile(BytesIO(data)) for data in (profile, srgb_profile()))
    flags = ImageCms.Flags.BLACKPOINTCOMPENSATION
    converted = ImageCms.profileToProfile(image, source, screen, ImageCms.Intent.RELATIVE_COLORIMETRIC, flags=flags)
    return image if converted is None else converted

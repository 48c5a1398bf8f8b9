"""The pictures of an album at their printed size: each made as a print is, from its original, and measured."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, ThreadPoolExecutor, wait
from dataclasses import dataclass
from functools import partial
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Final

from PIL import Image

from setsolver.catalog.listing import RAW, companion_of
from setsolver.catalog.paths import to_file
from setsolver.catalog.place import index_file
from setsolver.catalog.reader import content_hash, picture
from setsolver.catalog.store import Store
from setsolver.domain.brief import Brief
from setsolver.domain.outcome import SetFrame
from setsolver.domain.plan import Placed
from setsolver.domain.units import CM_PER_INCH
from setsolver.errors import FrameRefused
from setsolver.interrupts import answered, held
from setsolver.output.album import Drawn
from setsolver.render.save import load_profile
from setsolver.usecases.finish_print import Job, make_print
from setsolver.usecases.finish_size import Wish
from setsolver.usecases.finish_tone import SMALL, Aim
from setsolver.usecases.reopened import brief_of
from setsolver.usecases.tasks import READ

if TYPE_CHECKING:
    from setsolver.domain.album import Album, AlbumFrame, AlbumSpread
    from setsolver.domain.finish import FinishedPrint

__all__ = ["Made", "make_pictures", "smaller"]

_BUDGET: Final = 2_000_000_000
_BYTES_A_PIXEL: Final = 14
"""As ``usecases.finish``: what an original and its print take."""
Key = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Made:
    """A picture that was made. file : its JPEG. record : what was measured on it."""

    file: Path
    record: FinishedPrint

    def drawn(self) -> Drawn:
        """Return it as it goes into a PDF."""
        return Drawn(self.file.read_bytes(), self.record.width, self.record.height)


def make_pictures(
    album: Album,
    catalog: Path,
    folder: Path,
    ppi: float,
    progress: Callable[[str, int, int], None],
    workers: int | None = None,
) -> dict[Key, Made]:
    """Make every picture of an album, a JPEG in sRGB each, at ``ppi`` or as many pixels as its crop has.

    Returns
    -------
    By number of spread and place on it.

    Raises
    ------
    FrameRefused
        Where an original is gone, has changed since it was measured, or cannot be read; with its path.
    """
    brief = brief_of(album)
    wish = Wish(load_profile(None), ppi, "jpeg")
    jobs = dict(_jobs(album, brief, catalog))
    largest = max((_BYTES_A_PIXEL * job.frame.width * job.frame.height for job in jobs.values()), default=1)
    side_by_side = workers or max(1, min(os.cpu_count() or 1, _BUDGET // largest))
    return dict(_made(jobs, wish, folder, side_by_side, progress))


def _made(
    jobs: dict[Key, Job], wish: Wish, folder: Path, workers: int, progress: Callable[[str, int, int], None]
) -> Iterator[tuple[Key, Made]]:
    stop = threading.Event()

    def heed() -> None:
        if stop.is_set():
            raise FrameRefused("stopped")

    done = 0
    progress("pictures", 0, len(jobs))
    with held(), ThreadPoolExecutor(workers) as pool:
        running = {pool.submit(make_print, job, wish, folder, heed): key for key, job in jobs.items()}
        waiting = set(running)
        try:
            while waiting:
                with answered():
                    ready, waiting = wait(waiting, timeout=0.2, return_when=FIRST_COMPLETED)
                for future in ready:
                    key = running[future]
                    try:
                        record = future.result()
                    except FrameRefused as error:
                        raise FrameRefused(f"{jobs[key].frame.path} cannot be printed: {error}") from error
                    done += 1
                    progress("pictures", done, len(jobs))
                    yield key, Made(folder / record.file, record)
        finally:
            stop.set()
            for future in running:
                future.cancel()


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
    """Return a picture at a size on a screen or a thumbnail; never larger than it is."""
    pixels = max(8, round(width_cm / CM_PER_INCH * ppi))
    with Image.open(made.file) as image:
        image.draft("RGB", (pixels, pixels))
        scale = min(1.0, pixels / image.width)
        size = max(1, round(image.width * scale)), max(1, round(image.height * scale))
        small = image.convert("RGB").resize(size, Image.Resampling.LANCZOS)
    data = BytesIO()
    small.save(data, "JPEG", quality=quality)
    return Drawn(data.getvalue(), *size)

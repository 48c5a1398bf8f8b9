"""A set to prints at full size, each measured on its file: what goes to the lab and to the wall."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from functools import partial
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Final

from xxhash import xxh3_128

from setsolver import __version__
from setsolver.catalog.pairing import RAW, companion_of
from setsolver.catalog.paths import to_file, to_text
from setsolver.catalog.place import has_index
from setsolver.catalog.reader import content_hash, picture
from setsolver.catalog.records import Known
from setsolver.domain.brief import Brief
from setsolver.domain.finish import Finish, FinishedPrint
from setsolver.domain.frame import Shot
from setsolver.domain.wall import PhotographWish
from setsolver.errors import BadInput, FrameRefused, SetsolverError
from setsolver.layout import plan_of
from setsolver.output.view.captions import caption_of, title_of
from setsolver.usecases.finish_folder import Folder, kept, prepare
from setsolver.usecases.finish_lab import LAB_FILE, lab_list
from setsolver.usecases.finish_metadata import About, Sidecars, packet_for, write_sidecars
from setsolver.usecases.finish_print import Job
from setsolver.usecases.finish_run import Told, run, side_by_side
from setsolver.usecases.finish_size import Wish
from setsolver.usecases.finish_tone import SMALL, Aim
from setsolver.usecases.finish_wall import hooks_of, wall_files, wall_seen
from setsolver.usecases.index import open_index
from setsolver.usecases.reopened import brief_of

if TYPE_CHECKING:
    from setsolver.domain.outcome import Outcome, SetFound, SetFrame

__all__ = ["finish"]

_NAMED: Final = 3
"""Frames that a note names."""
_NO_SIDECARS: Final = Sidecars()


def finish(  # noqa: PLR0913 - what is made, of what, where, how
    outcome: Outcome,
    found: SetFound,
    catalog: Path,
    out: Path,
    wish: Wish,
    *,
    sidecars: Sidecars = _NO_SIDECARS,
    hanging_paper: str = "A4",
    wall_photograph: Path | None = None,
    workers: int | None = None,
    apart: bool = False,
    progress: Told = lambda *_: None,
    stop: threading.Event | None = None,
) -> Finish:
    """Make the prints of a set in a folder and return its document, which is also written there.

    Prints of the same set and wish that are there already are kept; so a finish that was stopped is taken up again.

    Parameters
    ----------
    catalog : where the originals are. out : the folder. sidecars : where sidecars of the originals go.
    hanging_paper : of the hanging plan, "A4" or "Letter". wall_photograph : of the wall, instead of the file that the
    brief names; what is marked on it is the brief's.
    workers : prints made at the same time, None = what two gigabytes of memory and the cores allow.
    apart : make them in processes of their own, so that a file that crashes its decoder costs its own print alone.
    progress : told what is done and how much there is. stop : once set, no more is made; what is whole stays, and the
    document says that it is not complete.

    Raises
    ------
    BadInput
        Where the folder, the catalog, the set or the photograph of its wall cannot be used.
        What is wrong with single frames is in the document's ``refused``.
    """
    _there(catalog)
    brief = brief_of(outcome)
    plan = plan_of(brief, found)
    photograph = _photograph(brief, wall_photograph)
    seen = None if photograph is None or wish.proof is not None else wall_seen(photograph, plan)
    prepare(out, catalog)
    aim = Aim(found.look, brief.tone.slack, brief.tone.treatment, brief.tone.reach)
    whole = Finish(
        made=datetime.now().astimezone().isoformat(timespec="seconds"),
        tool=f"setsolver {__version__}",
        job=_job_of(found, brief, wish),
        brief=brief.name,
        catalog=str(catalog),
        look=found.look,
        slack=aim.slacks,
        profile=wish.profile.name,
        intent=wish.profile.intent,
    )
    prints, before = kept(out, whole.job)
    folder = Folder(out, whole, prints, before)
    made_of, jobs = _jobs(found, catalog, aim, folder, whole, title_of(brief))
    jobs = [job for job in jobs if job.number not in folder.prints]
    stop = stop or threading.Event()
    at_once = workers or side_by_side(jobs, wish)
    run(jobs, wish, folder, at_once, progress, len(found.frames), stop, apart=apart)
    if stop.is_set():
        return folder.write(complete=False)
    if sidecars:
        chosen = {number: made_of[number] for number in folder.prints if number in made_of}
        folder.sidecars, said = write_sidecars(chosen, brief.name, len(found.frames), sidecars)
        folder.notes += said
    folder.hang(hooks_of(plan))
    folder.put(LAB_FILE, lab_list(folder.prints, wish.paper))
    if wish.proof is None:  # small files for a message need no wall
        called = [caption_of(brief, frame) for frame in found.frames]
        for name, content in wall_files(plan, called, title_of(brief), hanging_paper, folder, wish.profile, seen):
            folder.put(name, content)
    return folder.write(complete=not folder.refused)


def _job_of(found: SetFound, brief: Brief, wish: Wish) -> str:
    """Return what tells one finish from another: the set as it is to look, and the options."""
    profile = wish.profile.file.read_bytes() if wish.profile.file else b""
    text = f"{__version__}|{found.look!r}|{found.frames!r}|{brief.tone!r}|{wish!r}"
    return xxh3_128(text.encode() + profile).hexdigest()


def _jobs(
    found: SetFound, catalog: Path, aim: Aim, folder: Folder, whole: Finish, title: str
) -> tuple[dict[int, tuple[SetFrame, About]], list[Job]]:
    """Return what is known of the frames by number, and what is to be done; what cannot be printed is refused."""
    paths = {frame.path for frame in found.frames}
    known, shots = _recorded(catalog, paths)
    made_of, jobs, unheld = {}, [], []
    for number, frame in enumerate(found.frames, start=1):
        row = known.get(frame.path)
        file = to_file(catalog, frame.path)
        try:
            digest = _unchanged(file, row)
        except SetsolverError as error:
            folder.refuse(number, frame.path, str(error))
            continue
        if row is None or not row.digest:
            unheld.append(frame.path)
        about = About.of(file, shots.get(frame.path, Shot()), 0 if row is None else row.turn)
        made_of[number] = frame, about
        packet = packet_for(about, frame.time, title, len(found.frames), whole)
        job = _job(number, frame, about, digest, aim, packet)
        jobs.append(replace(job, known=any(Path(name).stem == job.name for name in folder.before)))
    if unheld:
        names = ", ".join(unheld[:_NAMED]) + (f" and {len(unheld) - _NAMED} more" if len(unheld) > _NAMED else "")
        folder.notes.append(
            f"no index tells what {names} held when the set was made: another file under such a name is found out by "
            "its size and its tone alone; make the set again with `setsolver suggest` to be sure"
        )
    return made_of, jobs


def _photograph(brief: Brief, other: Path | None) -> PhotographWish | None:
    """Return the photograph of the wall, its lengths in centimetres."""
    wall = brief.wall
    if wall is None or wall.photograph is None:
        if other is not None:
            raise BadInput(
                f"what is where on {other} is not known; mark four corners and a width in the brief's [wall.photograph]"
            )
        return None
    named = wall.photograph if other is None else wall.photograph.model_copy(update={"file": to_text(str(other))})
    return named.in_cm(wall.unit)


def _there(catalog: Path) -> None:
    if not catalog.is_dir():
        what = "is not a folder" if catalog.exists() else "does not exist"
        raise BadInput(
            f"the catalog {str(catalog)!r} {what}; bring it back, or say with --catalog where its frames are now"
        )


def _recorded(catalog: Path, paths: set[str]) -> tuple[dict[str, Known], dict[str, Shot]]:
    """Return what the catalog's index knows of frames; nothing where it has none, and none is made."""
    if not has_index(catalog):
        return {}, {}
    with open_index(catalog) as store:
        known = {path: row for path, row in store.known().items() if path in paths}
        return known, {path: shot for path, shot in store.shots() if path in paths}


def _unchanged(file: Path, known: Known | None) -> bytes:
    """Return the digest of an original.

    Raises
    ------
    FrameRefused
        Where the original is gone or has changed since it was measured.
    """
    if not file.is_file():
        raise FrameRefused("its original is gone; bring it back, or make the set again with `setsolver suggest`")
    companion = companion_of(file)
    digest = content_hash(file, companion)
    if known is not None and known.digest and digest != known.digest:
        raise FrameRefused(
            "its original has changed since it was measured (its content differs); bring the old file back, or make "
            "the set again with `setsolver suggest`"
        )
    return digest


def _job(
    number: int, frame: SetFrame, about: About, digest: bytes, aim: Aim, packet: Callable[[FinishedPrint], bytes]
) -> Job:
    return Job(
        number=number,
        frame=frame,
        file=about.file,
        raw=about.file.suffix[1:].lower() in RAW,
        turn=about.turn,
        name=f"{number:02d}-{_plain(PurePosixPath(frame.path).stem)}",
        digest=digest.hex(),
        aim=aim,
        judged=partial(picture, about.file, SMALL, about.turn),
        packet=packet,
    )


def _plain(stem: str) -> str:
    return re.sub(r"[^A-Za-z0-9_.-]+", "-", stem)[:60].strip("-.") or "frame"

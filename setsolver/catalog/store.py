"""The index of one catalog: what is measured, refused, said and grouped, by path."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import closing
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from setsolver.catalog import corrections
from setsolver.catalog.arrays import arrays_of, contents_of, looks_of
from setsolver.catalog.cameras import Body, body_of, check_cameras, clocks_of, with_clock
from setsolver.catalog.codec import unpack_measures, unpack_shot
from setsolver.catalog.database import Database
from setsolver.catalog.faults import FAILURES, check_index, read_only
from setsolver.catalog.groups import pairs_in, put_groups, series_in
from setsolver.catalog.named_time import with_named_time
from setsolver.catalog.records import Groups, Known, Measured, RefusedRow, Retold
from setsolver.catalog.rows import drop_frame, put_frame, put_measures, put_refused
from setsolver.domain.frame import Frame, Shot
from setsolver.domain.measures import Measures
from setsolver.domain.snapshot import Refused
from setsolver.errors import BadInput, CatalogBusy

__all__ = ["Store"]

_GROUPED, _REMARKS = "grouped", "remarks"
_FRAMES = """
    SELECT id, path, width, height, bytes, shot, note, coalesce(degrees, 0), moment, scene, chapter, facts,
        digest
    FROM frame LEFT JOIN label ON label.frame = frame.id LEFT JOIN turned ON turned.frame = frame.id
    WHERE version IN (SELECT value FROM json_each(?)) {} ORDER BY path
"""
_READ = "WHERE version IN (SELECT value FROM json_each(?)) ORDER BY path"


class Store(Database):
    """An open index. Use as a context manager; every writing method is one transaction.

    versions : of the measuring; frames measured by another are there to be measured again, and are not read.
    notes : what a user should know of how it was opened.
    """

    def __init__(self, file: Path, *versions: str) -> None:
        super().__init__(file)
        self.notes: tuple[str, ...] = ()
        self._versions = json.dumps(versions)

    def known(self, only: str | None = None) -> dict[str, Known]:
        """Return what is known of every measured file, or of one alone, by path."""
        query = """
            SELECT path, bytes, mtime_ns, stamp, version, digest, coalesce(degrees, 0)
            FROM frame LEFT JOIN turned ON turned.frame = frame.id
        """
        rows = self._db.execute(query) if only is None else self._db.execute(f"{query} WHERE path = ?", (only,))
        return {path: Known(*rest) for path, *rest in rows}

    def paths(self) -> frozenset[str]:
        """Return the paths of all measured files."""
        return frozenset(path for (path,) in self._db.execute("SELECT path FROM frame"))

    def holds(self, path: str) -> bool:
        """Tell whether a file of this very path is measured."""
        return self._db.execute("SELECT 1 FROM frame WHERE path = ?", (path,)).fetchone() is not None

    def stamp(self) -> tuple[float, ...]:
        """Return what a scan changes that finds files new, gone or others; what is said of frames changes it not."""
        row = self._db.execute(
            "SELECT count(*), total(id), total(bytes), total(mtime_ns % 1000003) FROM frame"
        ).fetchone()
        return tuple(map(float, row))

    def known_refused(self) -> dict[str, RefusedRow]:
        """Return what is known of every refused file, by path."""
        rows = self._db.execute("SELECT path, bytes, mtime_ns, stamp, version, why, again FROM refused")
        return {path: RefusedRow(path, Known(*known), why, bool(again)) for path, *known, why, again in rows}

    def write(self, measured: Iterable[Measured | Retold], refused: Iterable[RefusedRow] = ()) -> None:
        """Write a batch; a path is then either measured or refused. Grouping is due again."""
        measured, refused = list(measured), list(refused)
        if not measured and not refused:
            return
        with self._transaction():
            for row in measured:
                if isinstance(row, Retold):
                    put_measures(self._db, row.path, row.version, row.measures)
                else:
                    put_frame(self._db, row)
                self._db.execute("DELETE FROM refused WHERE path = ?", (row.path,))
            for out in refused:
                put_refused(self._db, out)
            self._due()

    def count(self, version: str) -> int:
        """Return how many frames were measured by a version."""
        return int(self._db.execute("SELECT count(*) FROM frame WHERE version = ?", (version,)).fetchone()[0])

    def forget(self, paths: Iterable[str]) -> None:
        """Remove files that are gone from the folder. Corrections stay: the file may come back."""
        with self._transaction():
            for path in paths:
                drop_frame(self._db, path)
                self._db.execute("DELETE FROM refused WHERE path = ?", (path,))
            self._due()

    def correct(self, said: Mapping[str, Mapping[str, str | None]]) -> None:
        """Keep what the user says of frames by path and name, None to take one back; all in one transaction."""
        with self._transaction():
            corrections.put(self._db, said)

    def merge(self, other: Path) -> None:
        """Take over what the user said later in another index of this folder; note it where that cannot be read."""
        try:
            check_index(other)
            with closing(read_only(other)) as db:
                theirs = corrections.dated(db)
        except (*FAILURES, BadInput, OSError) as error:
            said = f"corrections in {str(other)!r} could not be taken over ({error}); mend or delete that file"
            self.notes += (said,)
            return
        if later := corrections.newer(corrections.dated(self._db), theirs):
            with self._transaction():
                corrections.take(self._db, later)

    def carry_corrections(self) -> tuple[tuple[str, str], ...]:
        """Let corrections follow files that were moved or renamed; return (old path, new path) of each."""
        with self._transaction():
            return corrections.carry(self._db)

    def corrections(self) -> dict[str, dict[str, str]]:
        """Return what the user said of frames, by path and name."""
        return corrections.said(self._db)

    def set_clocks(self, said: Mapping[str, str | None]) -> None:
        """Keep what the user says of the clocks of cameras (``domain.clock``); grouping is due again.

        Raises
        ------
        BadInput
            Where no frame is by a camera of that name.
        """
        check_cameras((camera for camera, clock in said.items() if clock is not None), self._bodies())
        with self._transaction():
            corrections.put_clocks(self._db, said)
            self._due()

    def clocks(self) -> dict[str, str]:
        """Return what the user said of the clocks of cameras, by name."""
        return corrections.clocks(self._db)

    def _bodies(self) -> list[Body]:
        query = f"SELECT DISTINCT shot ->> '$.camera', shot ->> '$.body' FROM frame {_READ}"  # noqa: S608 - a constant
        return [body_of(Shot(camera=camera, body=body)) for camera, body in self._db.execute(query, (self._versions,))]

    def _clocks(self) -> dict[Body, str]:
        said = self.clocks()
        return clocks_of(self._bodies(), said) if said else {}

    def turn_of(self, path: str) -> int:
        """Return the degrees clockwise by which a frame was turned before it was measured, 0 where it was not."""
        query = "SELECT degrees FROM turned JOIN frame ON frame.id = turned.frame WHERE path = ?"
        row = self._db.execute(query, (path,)).fetchone()
        return 0 if row is None else int(row[0])

    def refused(self) -> tuple[Refused, ...]:
        """Return refused files in order of path."""
        return tuple(Refused(*row) for row in self._db.execute("SELECT path, why FROM refused ORDER BY path"))

    def frames(self, only: str | None = None) -> Iterator[Frame]:
        """Yield all frames in order of path, ids 0..n-1; ``said`` holds corrections only, labels -1 where none.

        only : the path of the one frame that is yielded, with the id 0.
        """
        corrected, clocks = self.corrections(), self._clocks()
        one = () if only is None else (only,)
        rows = self._db.execute(_FRAMES.format("AND path = ?" * len(one)), (self._versions, *one))
        for number, row in enumerate(rows):
            key, path, width, height, size, shot, note, turn, moment, scene, chapter, facts, content = row
            said = corrected.get(path, {})
            known = _timed(unpack_shot(shot), path, clocks)
            yield Frame(
                id=number,
                path=path,
                width=width,
                height=height,
                file_bytes=size,
                shot=known,
                measures=unpack_measures(facts, arrays_of(self._db, key)),
                moment=-1 if moment is None else moment,
                scene=-1 if scene is None else scene,
                chapter=-1 if chapter is None else chapter,
                said=said.get("scale"),
                stars=float(said["stars"]) if "stars" in said else None,
                said_kind=said.get("kind"),
                turn=turn if turn or said.get("turn") == "0" else None,
                note="; ".join(filter(None, (note, known.remark))),
                content=content,
            )

    def measured(self, path: str) -> Measured | None:
        """Return the row of a frame as it was written, None where it is gone."""
        row = self._db.execute("SELECT width, height, shot, note FROM frame WHERE path = ?", (path,)).fetchone()
        if row is None:
            return None
        width, height, shot, note = row
        return Measured(path, self.known(path)[path], width, height, unpack_shot(shot), note, self.measures(path, ()))

    def measures(self, path: str, without: Collection[str], older: Collection[str] = ()) -> Measures | None:
        """Return the measures of a frame, whatever their version, without those that are due; None where it is gone.

        older : of another version, kept as they were; see ``unpack_measures``.
        """
        row = self._db.execute("SELECT id, facts FROM frame WHERE path = ?", (path,)).fetchone()
        return None if row is None else unpack_measures(row[1], arrays_of(self._db, row[0]), without, older)

    def ids(self) -> list[int]:
        """Return what ``looks`` and ``group`` know the frames by, in order of path."""
        rows = self._db.execute(f"SELECT id FROM frame {_READ}", (self._versions,))  # noqa: S608 - a constant
        return [row for (row,) in rows]

    def shots(self) -> Iterator[tuple[str, Shot]]:
        """Yield folder and metadata of all frames in order of path."""
        clocks = self._clocks()
        rows = self._db.execute(f"SELECT path, shot FROM frame {_READ}", (self._versions,))  # noqa: S608 - a constant
        for path, shot in rows:
            yield path.rpartition("/")[0], _timed(unpack_shot(shot), path, clocks)

    def looks(self, ids: Sequence[int]) -> tuple[NDArray[np.float16], NDArray[np.uint64]]:
        """Return embeddings float16[n, 1280] and hashes uint64[n] of some hundred frames."""
        return looks_of(self._db, ids)

    def contents(self, ids: Sequence[int]) -> tuple[NDArray[np.float16], NDArray[np.float16], NDArray[np.float32]]:
        """Return what scenes are told by, of some hundred frames; see ``arrays.contents_of``."""
        return contents_of(self._db, ids)

    def pairs(self) -> tuple[tuple[int, int], ...]:
        """Return near-duplicates as pairs of frame ids of ``frames``, a < b, sorted; those within a series left out."""
        return pairs_in(self._db, self.ids())

    def series(self) -> tuple[tuple[int, ...], ...]:
        """Return the frame ids of ``frames`` of each series, whose frames count as one picture, sorted."""
        return series_in(self._db, self.ids())

    def grouped(self) -> str | None:
        """Return the key under which the frames as they are now were grouped, None where grouping is due."""
        row = self._db.execute("SELECT value FROM fact WHERE name = ?", (_GROUPED,)).fetchone()
        return None if row is None else str(row[0])

    def remarks(self) -> tuple[str, ...]:
        """Return what grouping had to say."""
        row = self._db.execute("SELECT value FROM fact WHERE name = ?", (_REMARKS,)).fetchone()
        return () if row is None else tuple(json.loads(row[0]))

    def group(self, key: str, ids: Sequence[int], groups: Groups) -> None:
        """Write what grouping found of the frames with these ids, in order of path.

        Raises
        ------
        CatalogBusy
            Where the frames are others by now.
        """
        with self._transaction():
            if self.ids() != ids:
                raise CatalogBusy(f"frames of {str(self.file)!r} changed while they were grouped; scan again")
            put_groups(self._db, ids, groups)
            facts = ((_GROUPED, key), (_REMARKS, json.dumps(groups.remarks)))
            self._db.executemany("INSERT OR REPLACE INTO fact VALUES (?, ?)", facts)

    def _due(self) -> None:
        self._db.execute("DELETE FROM fact WHERE name = ?", (_GROUPED,))


def _timed(shot: Shot, path: str, clocks: Mapping[Body, str]) -> Shot:
    """Return a shot with the time of its file's name where it has none, by the clock that the user set.

    Told whenever it is read, so that a file that is renamed or a clock that is corrected needs no other look.
    """
    return with_clock(with_named_time(shot, path), clocks.get(body_of(shot)))

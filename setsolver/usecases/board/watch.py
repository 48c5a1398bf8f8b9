"""Whether the catalog was scanned again while a board has it open, and what it holds now."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING, NamedTuple

from setsolver.catalog.place import index_file
from setsolver.errors import SetsolverError
from setsolver.output.view.words import counted
from setsolver.usecases.index import open_index

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["Seen", "Watch"]


class Seen(NamedTuple):
    """What an index holds.

    files : sizes and times of the index on the disk. stamp : ``Store.stamp``. digests : of frames, by path.
    """

    files: tuple[tuple[int, int] | None, ...]
    stamp: tuple[float, ...]
    digests: dict[str, bytes]


class Watch:
    """The index of a folder, compared with what it held when this was made: before the board reads it."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._index = index_file(folder)
        self._read = self._last = self.look()

    def taken_in(self, seen: Seen) -> None:
        """Take what was seen before the catalog was read for what the board shows."""
        self._read = self._last = seen

    def says(self) -> str | None:
        """Return what another scan changed, in words; None where nothing, or where it cannot be read just now."""
        with suppress(SetsolverError, OSError):
            if self._files() != self._last.files:
                self._last = self.look(self._last)
        read, last = self._read, self._last
        return None if read.digests is last.digests else _difference(read.digests, last.digests)

    def _files(self) -> tuple[tuple[int, int] | None, ...]:
        return tuple(_stat(self._index.with_name(self._index.name + end)) for end in ("", "-wal"))

    def look(self, before: Seen | None = None) -> Seen:
        """Return what the index holds now; to be asked before the catalog is read, so that no later scan is missed.

        before : what was seen last, whose digests serve where nothing has changed since.
        """
        files = self._files()  # before it is read: what is written meanwhile is looked at again
        with open_index(self._folder) as store:
            stamp = store.stamp()
            if before is not None and stamp == before.stamp:
                return before._replace(files=files)
            return Seen(files, stamp, {path: known.digest for path, known in store.known().items()})


def _stat(file: Path) -> tuple[int, int] | None:
    try:
        stat = file.stat()
    except FileNotFoundError:
        return None
    return stat.st_size, stat.st_mtime_ns


def _difference(before: dict[str, bytes], after: dict[str, bytes]) -> str | None:
    new, gone = len(after.keys() - before.keys()), len(before.keys() - after.keys())
    others = sum(after[path] != before[path] for path in after.keys() & before.keys())
    counts = ((new, "new"), (gone, "gone"), (others, "changed"))
    parts = [f"{counted(count, 'frame')} {what}" for count, what in counts if count]
    return f"The catalog was scanned again: {', '.join(parts)}." if parts else None

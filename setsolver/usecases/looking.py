"""A catalog that is open, and looked at anew whenever something is said of its frames."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from setsolver.errors import BadInput
from setsolver.usecases.assembling import Assembler

if TYPE_CHECKING:
    from setsolver.domain.snapshot import Snapshot
    from setsolver.usecases.scan import Progress

__all__ = ["Looking", "Said", "Seen"]

Said = Mapping[str, Mapping[str, str | None]]


class Seen(NamedTuple):
    """A catalog as it was looked at.

    assembler : of briefs on it. answers : what was answered of it. unmeasured : as of ``Looking``.
    """

    snapshot: Snapshot
    assembler: Assembler
    answers: dict[str, Any]
    unmeasured: Mapping[str, int | None]


class Looking:
    """A catalog as it is looked at.

    Attributes
    ----------
    snapshot : the catalog. folder : for corrections, None where nothing can be corrected. unmeasured : frames as they
    were said to be turned without waiting for it, which are not measured so yet. scanning : told how far a scan is
    where what is said needs one; what it raises ends that, and nothing is said then.
    """

    def __init__(self, snapshot: Snapshot, folder: Path | None) -> None:
        self.snapshot, self.folder = snapshot, folder
        self._assembler = Assembler(snapshot)
        self.unmeasured: Mapping[str, int | None] = {}
        self.scanning: Progress | None = None

    def _answer_anew(self, answers: dict[str, Any]) -> None:
        """Take notice that the catalog was looked at anew. answers : what is known of it already."""

    def _home(self) -> Path:
        if self.folder is None:
            raise BadInput("this session has no folder to keep corrections in; open it with Catalog.open(...).session")
        return self.folder

    def _seen(self) -> Seen:
        """Return the catalog as it is looked at now."""
        return Seen(self.snapshot, self._assembler, self._known_answers(), self.unmeasured)

    def _known_answers(self) -> dict[str, Any]:
        """Return what is known to be answered of the catalog as it is looked at now."""
        return {}

    def _write(self, said: Said, *, wait: bool = True, known: Seen | None = None) -> tuple[Said, Said]:
        """Keep corrections in the index and look at the catalog anew; what was known of sets stays known.

        Returns what was said before and what is said now. Where what follows the write fails, it is taken back.

        Parameters
        ----------
        wait : False = turned frames are not measured yet. known : the catalog as it is then, where that is known.
        """
        from setsolver.usecases.frames import correct  # noqa: PLC0415 - a session without a folder needs no database
        from setsolver.usecases.index import open_index  # noqa: PLC0415

        folder = self._home()
        with open_index(folder) as store:
            before = store.corrections()
        kept = correct(folder, said)
        unsaid = {path: {name: before.get(path, {}).get(name) for name in names} for path, names in kept.items()}
        try:
            self._look_at(kept, wait=wait, known=known)
        except BaseException:
            correct(folder, unsaid)
            raise
        return unsaid, kept

    def _look_at(self, kept: Said, *, wait: bool, known: Seen | None) -> None:
        """Look at the catalog after something was said of it."""
        from setsolver.usecases.looking_again import looked_again, turned_already, written_back  # noqa: PLC0415

        if known is not None:
            measured = {path: names for path, names in kept.items() if path not in known.unmeasured}
            if written_back(self._home(), known.snapshot, measured):
                self._show_again(known)
                return
        turned = None if wait else turned_already(self.snapshot, kept)
        if turned is not None:
            turns = {path: None if names["turn"] is None else int(names["turn"]) for path, names in kept.items()}
            self._show(turned, {**self.unmeasured, **turns})
            return
        rest = {path: turn for path, turn in self.unmeasured.items() if "turn" not in kept.get(path, {})}
        self._show(looked_again(self._home(), self.snapshot, kept, self.scanning), rest)

    def _settle(self) -> bool:
        """Measure what is not measured yet; see ``Changing.settle``."""
        from setsolver.usecases.looking_again import turned_now  # noqa: PLC0415

        if not self.unmeasured:
            return True
        now = turned_now(self._home(), self.snapshot, self.unmeasured)
        if now is not None:
            self._show(now)
        return now is not None

    def _show(self, snapshot: Snapshot, unmeasured: Mapping[str, int | None] | None = None) -> None:
        """Go on with another look at the catalog."""
        self.snapshot, self.unmeasured = snapshot, unmeasured or {}
        self._assembler = Assembler(snapshot)
        self._answer_anew({})

    def _show_again(self, seen: Seen) -> None:
        """Go on with the catalog as it was looked at before."""
        self.snapshot, self._assembler, answers, self.unmeasured = seen
        self._answer_anew(answers)

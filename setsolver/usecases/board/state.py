"""What all parts of a board share: the warm session, the answer that is shown, and how frames are named to a page."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from setsolver.domain import columns
from setsolver.errors import BadInput, NoSet, NoSuchFrame
from setsolver.output.view.words import name_of
from setsolver.usecases.board.rows import FrameRows, key_of

if TYPE_CHECKING:
    from setsolver.domain.frame import Frame
    from setsolver.domain.outcome import Outcome, SetFound
    from setsolver.usecases.board.kept import Kept
    from setsolver.usecases.board.pictures import BoardPictures
    from setsolver.usecases.board.versions import Versions
    from setsolver.usecases.near import Nearest
    from setsolver.usecases.session import Session

__all__ = ["BoardState", "answer_of", "or_back", "paths_of"]


class _Named(Mapping[str, "Frame"]):
    """Frames by a name, each looked at when it is asked for."""

    def __init__(self, frames: Sequence[Frame], place: dict[str, int]) -> None:
        self._frames, self._place = frames, place

    def __getitem__(self, name: str, /) -> Frame:
        return self._frames[self._place[name]]

    def __iter__(self) -> Iterator[str]:
        return iter(self._place)

    def __len__(self) -> int:
        return len(self._place)

    def of(self, frames: Sequence[Frame]) -> _Named:
        """Return other frames by the same names."""
        return _Named(frames, self._place)


@dataclass
class BoardState:
    """One catalog and brief on a board; whoever changes or asks anything holds the board's lock.

    Attributes
    ----------
    versions : that were kept. outcome : the answer to the brief as it is now. said : what the last change did.
    revision : counts what pages are told. answered : the one at which the set was found that hangs. alternates, ways :
    further sets, and ways out of a clash, with the revision at which they were found. rows : of the tray.
    """

    kept: Kept
    session: Session
    pictures: BoardPictures
    versions: Versions
    outcome: Outcome
    said: str
    revision: int = 1
    answered: int = 1
    alternates: tuple[int, Outcome] | None = None
    ways: tuple[int, tuple[Nearest, ...]] | None = None
    rows: FrameRows = field(default_factory=FrameRows)
    by_path: Mapping[str, Frame] = field(default_factory=dict)
    by_key: Mapping[str, Frame] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.look_up()

    @property
    def best(self) -> SetFound | None:
        """The set on the wall."""
        return self.outcome.best

    def look_up(self) -> None:
        """Find frames by path and by key, after the catalog was looked at anew."""
        frames = self.session.snapshot.frames
        paths = columns.paths_of(frames)
        if list(self.by_path) != paths:
            self.by_key = _Named(frames, {key_of(path): at for at, path in enumerate(paths)})
            self.by_path = _Named(frames, {path: at for at, path in enumerate(paths)})
        elif isinstance(self.by_path, _Named) and isinstance(self.by_key, _Named):
            self.by_key, self.by_path = self.by_key.of(frames), self.by_path.of(frames)

    def answer(self) -> None:
        """Solve for the brief as it is now."""
        self.look_up()
        self.outcome = answer_of(self.session)

    def cut_short(self) -> bool:
        """Tell whether what was just looked for may not have been found, because it was stopped."""
        stop = self.session.effort.stop
        return stop is not None and stop()

    def back_to(self, before: Outcome) -> None:
        """Show an answer of before, after a change was taken back because it could not be kept."""
        self.look_up()
        self.outcome = before

    def frame(self, key: str) -> Frame:
        """Return a frame by its key. Raises NoSuchFrame."""
        frame = self.by_key.get(key)
        if frame is None:
            raise NoSuchFrame("this frame is not in the catalog any more; load the page again")
        return frame

    def fresh(self, revision: int) -> bool:
        """Tell whether the set that hangs is still the one of this revision."""
        return self.answered <= revision <= self.revision

    def shown(self, number: int, revision: int) -> tuple[SetFound, ...]:
        """Return the sets that a page showed, the best first. Raises BadInput where they changed, or lack that one."""
        if self.fresh(revision) and self.alternates is not None and self.fresh(self.alternates[0]):
            sets = self.alternates[1].sets
        elif number == 1 and self.fresh(revision):
            sets = self.outcome.sets[:1]
        elif number == 1:
            raise BadInput("the set has changed since it was shown; look at the one that hangs now")
        else:
            raise BadInput("the sets have changed since these were shown; look at the next best sets again")
        if number > len(sets):
            raise BadInput(f"there is no set {number}; {len(sets)} were shown")
        return sets

    def way(self, number: int, revision: int) -> Nearest:
        """Return a way out of a clash that a page showed. Raises as ``shown``."""
        if self.ways is None or not (self.fresh(revision) and self.fresh(self.ways[0])):
            raise BadInput("the board has changed since these ways were shown; look again")
        if number > len(self.ways[1]):
            raise BadInput(f"there is no way {number}; {len(self.ways[1])} were shown")
        return self.ways[1][number - 1]

    def keys(self, patterns: tuple[str, ...]) -> list[str]:
        """Return the keys of the frames that paths or globs of the brief name."""
        return [key_of(path) for path in self.session.named(patterns)] if patterns else []

    def hung(self) -> SetFound:
        """Return the set on the wall. Raises BadInput where there is none."""
        if self.best is None:
            raise BadInput("there is no set to swap in; undo the last change, or take the way out")
        return self.best

    def print_of(self, key: str) -> Any:
        """Return how the set on the wall uses a frame, by its key. Raises BadInput where it is not in the set."""
        path = self.frame(key).path
        found = next((frame for frame in self.hung().frames if frame.path == path), None)
        if found is None:
            raise BadInput(f"{name_of(path)} is not on the wall: the set has changed meanwhile")
        return found

    def assembly(self) -> Any:
        """Return the brief as arrays, None where it leaves no place for a set."""
        try:
            return self.session.assembly
        except NoSet:
            return None


def answer_of(session: Session, alternates: int = 0) -> Outcome:
    """Return the outcome under the brief as it is now, without what no page shows."""
    return session.outcome(alternates=alternates, repeats=False)


def paths_of(found: SetFound) -> tuple[str, ...]:
    """Return the frames of a set as it hangs."""
    return tuple(frame.path for frame in found.frames)


@contextmanager
def or_back(state: BoardState, back: Callable[[], object], before: Outcome) -> Iterator[None]:
    """Take a change back and show the answer of before where the block fails, whatever is raised."""
    try:
        yield
    except BaseException:
        try:
            back()
        finally:
            state.back_to(before)
        raise

"""What pages ask of a board. Acts go first, then what is known without a search, then what is sought (``lane``)."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from setsolver.usecases.board import asked
from setsolver.usecases.board.finishing import album_briefs
from setsolver.usecases.board.framed import framing
from setsolver.usecases.board.mending import mendings
from setsolver.usecases.board.replacing import swaps
from setsolver.usecases.board.view import board_view

if TYPE_CHECKING:
    from setsolver.domain.brief import CropWish
    from setsolver.usecases.board.clients import Clients
    from setsolver.usecases.board.finishing import Finishing
    from setsolver.usecases.board.lane import Lane
    from setsolver.usecases.board.pictures import BoardPictures
    from setsolver.usecases.board.state import BoardState
    from setsolver.usecases.board.watch import Watch
    from setsolver.usecases.board.work import Work

__all__ = ["Questions"]


class Questions:
    """What is asked; nothing changes by it.

    Attributes
    ----------
    state : what is shown. lane : who may work. work : what is worked out just now. watch : of the catalog's index.
    """

    state: BoardState
    lane: Lane
    work: Work
    watch: Watch
    finishing: Finishing
    clients: Clients
    pictures: BoardPictures

    @property
    def revision(self) -> int:
        """Counts changes."""
        return self.state.revision

    def view(self) -> dict[str, Any]:
        """Return the document ``setsolver/board`` version 1: all that a page shows, but for the tray."""
        return self.lane.glance(self._view)

    def _view(self) -> dict[str, Any]:
        self.state.kept.refresh()
        clients = self.clients.view(self.state.by_path)
        jobs = {"finish": self.finishing.view(), "albums": album_briefs()}
        return {**board_view(self.state), **clients, **jobs, "rescanned": self.watch.says()}

    def rescanned(self) -> dict[str, Any]:
        """Return what another scan of the catalog changed since, in words, or None."""
        return self.lane.ask(lambda: {"rescanned": self.watch.says()})

    def stamp(self) -> tuple[int, int, int]:
        """Return what changes whenever pages have to be told something; asks nothing and waits for nobody."""
        return self.state.revision, self.finishing.changes, self.work.changes

    def told(self) -> dict[str, Any]:
        """Return what pages are told then, without waiting for anybody."""
        return {"revision": self.state.revision, "finish": self.finishing.view(), "working": self.work.says}

    def frames(self, known: int = 0) -> dict[str, Any]:
        """Return every frame for the tray, or those that differ from a list of before; see ``FrameRows.since``."""
        return self.lane.glance(lambda: self.state.rows.since(self.state.session.snapshot, known))

    def framing(self, key: str, wish: CropWish) -> dict[str, Any]:
        """Return what a print would be if it were framed so. Raises as ``swaps``."""
        return self.lane.glance(lambda: framing(self.state, key, wish))

    def swaps(self, key: str, *, proven: bool, like: str | None = None) -> dict[str, Any]:
        """Return the ten best swaps for the place of a frame of the set, of those that repeat each other the best.

        See ``replacing.swaps``. Others may ask and act between two proofs. Raises NoSuchFrame, or BadInput where the
        frame is not in the set, there is none, or a change overtook the question.
        """
        answer = self.lane.ask if proven else self.lane.glance
        return answer(lambda: swaps(self.state, key, proven=proven, like=like, pause=self.lane.pause))

    def alternates(self, most: int | None = None) -> dict[str, Any]:
        """Return the next best sets, each against the best; most : only so many, sooner, None = all of them."""
        return self.lane.ask(lambda: asked.further_sets(self.state, most))

    def why(self, key: str) -> dict[str, Any]:
        """Return why a frame is in the set, or what the best set with it would cost. Raises as ``swaps``."""
        return self.lane.ask(lambda: asked.why(self.state, key))

    def earnings(self) -> dict[str, Any]:
        """Return what each frame would earn this set in its best place."""
        return self.lane.glance(lambda: asked.earnings(self.state))

    def prices(self) -> dict[str, Any]:
        """Return what each weight costs: what the other rules would gain without it, and who would change."""
        return self.lane.ask(lambda: asked.prices(self.state, self.lane.pause))

    def holds(self) -> dict[str, Any]:
        """Return what holds the set back: what each hard rule costs. Raises BadInput where there is no set."""
        return self.lane.ask(lambda: asked.holds(self.state))

    def ways(self) -> dict[str, Any]:
        """Return the ways out of a clash, the nearest first; none where there is a set."""
        return self.lane.ask(lambda: asked.ways(self.state, self.lane.pause))

    def mendings(self, key: str, value: float) -> dict[str, Any]:
        """Return by which other count of the brief one that contradicts it would hold. Raises BadInput for no rule."""
        session = self.state.session
        return self.lane.glance(lambda: {"ways": mendings(session.brief, key, value, len(session.snapshot.frames))})

    def versions(self) -> dict[str, Any]:
        """Return the versions that were kept, each with its set."""
        return self.lane.glance(lambda: asked.versions(self.state))

    def print_jpeg(self, key: str, side: int, *, corrected: bool) -> bytes:
        """Return a print of a set that was shown; see ``BoardPictures.print_jpeg``."""
        return self.pictures.print_jpeg(key, side, self.state.by_path.get, corrected=corrected)

    def frame_jpeg(self, key: str, side: int) -> bytes:
        """Return a whole frame by its key. Raises NoSuchFrame, or FrameRefused where its file cannot be read."""
        return self.pictures.frame_jpeg(self.state.frame(key), side)

"""Frames that were turned, measured while the set stands that is best by what is known of them without.

The networks are asked beside the board; then, as an act of its own, the set answers what they say.
"""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING

from setsolver.errors import BadInput, SetsolverError
from setsolver.output.view.words import inert, name_of
from setsolver.rules.words import in_a_row
from setsolver.usecases.board import acts
from setsolver.usecases.board.state import paths_of
from setsolver.usecases.remeasure import measured_ahead

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from setsolver.domain.outcome import SetFound
    from setsolver.usecases.board.state import BoardState

__all__ = ["Settling", "as_measured", "looking_words"]

_AGAIN = 1.0
"""Seconds until it is tried again, as where a scan has the catalog."""


class Settling:
    """Measures turned frames of one board, in a thread that ends when none is left.

    Parameters
    ----------
    folder : of the catalog. settle : lets the board answer once they are measured, in its turn; raises as
    ``Session.settle``. say : tells pages why it could not be done yet; it is tried again.
    """

    def __init__(
        self,
        folder: Path,
        state: Callable[[], BoardState],
        settle: Callable[[], None],
        say: Callable[[str], None],
    ) -> None:
        self._folder, self._state, self._settle, self._say = folder, state, settle, say
        self._thread: threading.Thread | None = None
        self._ending = threading.Event()
        self._lock = threading.Lock()

    def begin(self) -> None:
        """See to it that what is not measured yet will be; returns at once."""
        with self._lock:
            if self._state().session.unmeasured and not self._ending.is_set() and self._thread is None:
                self._thread = threading.Thread(target=self._run, name="settling", daemon=True)
                self._thread.start()

    def wait(self, seconds: float | None = None) -> None:
        """Wait until nothing is left."""
        thread = self._thread
        if thread is not None:
            thread.join(seconds)

    def end(self) -> None:
        """Begin nothing more, and wait for what goes on: the next start measures what is left."""
        self._ending.set()
        self.wait(30.0)

    def _run(self) -> None:
        told = ""
        try:
            while self._more():
                try:
                    for path, turn in self._state().session.unmeasured.items():
                        measured_ahead(self._folder, path, turn)
                    if not self._ending.is_set():
                        self._settle()
                except SetsolverError as error:
                    if str(error) != told:
                        told = str(error)
                        self._say(f"What was turned cannot be measured yet: {inert(told)}. It is tried again.")
                    self._ending.wait(_AGAIN)
        except BaseException:
            with self._lock:
                self._thread = None
            raise

    def _more(self) -> bool:
        """Tell whether something is left; where not, this thread is done, and the next turn gets another one."""
        with self._lock:
            if self._state().session.unmeasured and not self._ending.is_set():
                return True
            self._thread = None
            return False


def looking_words(state: BoardState) -> str | None:
    """Return what is still looked for, in words; None where the set that stands is the answer."""
    names = [name_of(path) for path in state.session.unmeasured]
    if not names:
        return None
    verb = "is" if len(names) == 1 else "are"
    return f"Still looking: {in_a_row(names)} {verb} being measured as turned, and the set may change."


def as_measured(act: acts.Act, state: BoardState, names: Sequence[str], shown: SetFound | None) -> acts.Act:
    """Return an act that means a set which was shown before some frames were measured as turned, of the one of now.

    names : paths of these frames. shown : the set that hung.

    Raises
    ------
    BadInput
        Where that set does not hang any more, or may not be among the next best ones.
    """
    measured = f"{in_a_row([*map(name_of, names)])} {'is' if len(names) == 1 else 'are'} measured as turned only now"
    if not isinstance(act, acts.Name | acts.Finish) or (isinstance(act, acts.Name) and act.number > 1):
        raise BadInput(f"{measured}, and the next best sets may be others: look at them again")
    if shown is None or state.best is None or paths_of(shown) != paths_of(state.best):
        raise BadInput(f"{measured}, and another set hangs: look at it first")
    return act.model_copy(update={"revision": state.revision}) if isinstance(act, acts.Name) else act

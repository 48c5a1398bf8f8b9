"""Who may work on a board: one at a time, acts before questions, each in the order in which they came.

A question that takes long pauses between its parts, so that nobody waits for more than one of them; its search ends
where an act waits, and it is asked again where that act changed nothing.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TypeVar

from setsolver.errors import Overtaken

__all__ = ["Lane"]

T = TypeVar("T")


class Lane:
    """revision : counts changes; a question that a change overtook is dropped."""

    def __init__(self, revision: Callable[[], int]) -> None:
        self._revision = revision
        self._turn = threading.Condition()
        self._busy = False
        self._acts: deque[object] = deque()
        self._questions: deque[object] = deque()
        self._asking = False
        self._gave_way = False
        self._stopped = False

    @contextmanager
    def act(self) -> Iterator[None]:
        """Wait for one's turn to change something, and have it."""
        self._enter(self._acts, asking=False)
        try:
            yield
        finally:
            self._leave()

    def ask(self, question: Callable[[], T]) -> T:
        """Return the answer of a question, asked again where it gave way to an act that changed nothing.

        Raises
        ------
        Overtaken
            Where a change overtook it.
        """
        while True:
            self._enter(self._questions, asking=True)
            try:
                self._gave_way, before = False, self._revision()
                answer = question()
                if not self._gave_way:
                    return answer
            finally:
                self._leave()
            with self.act():  # after those that wait already
                if self._revision() != before:
                    raise _overtaken()

    def pause(self) -> None:
        """Let others have their turn amid a question. Raises Overtaken where one of them changed the set."""
        if not self._asking or not (self._acts or self._questions):
            return
        before, gave_way = self._revision(), self._gave_way
        self._leave()
        self._enter(self._questions, asking=True)
        self._gave_way = gave_way  # of this question: another one that was asked meanwhile has begun with its own
        if self._revision() != before:
            raise _overtaken()

    def stop(self) -> None:
        """Let the search of the act that is being done end."""
        with self._turn:
            self._stopped = self._busy and not self._asking

    @property
    def stopped(self) -> bool:
        """Whether somebody stopped the act that is being done."""
        return self._stopped

    def ends(self) -> bool:
        """Tell a search to end: it was stopped, or is of a question and an act waits."""
        if self._asking and self._acts:
            self._gave_way = True
        return self._stopped or (self._asking and self._gave_way)

    def _enter(self, line: deque[object], *, asking: bool) -> None:
        mine = object()
        with self._turn:
            line.append(mine)
            try:
                while self._busy or (self._acts or self._questions)[0] is not mine:
                    self._turn.wait()
            except BaseException:
                line.remove(mine)
                self._turn.notify_all()
                raise
            line.popleft()
            self._busy, self._asking, self._stopped = True, asking, False

    def _leave(self) -> None:
        with self._turn:
            self._busy = self._asking = self._stopped = False
            self._turn.notify_all()


def _overtaken() -> Overtaken:
    return Overtaken("the set has changed while this was asked; ask again of the new one")

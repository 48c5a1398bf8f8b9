"""Who may work on a board: one at a time, acts before glances before questions, each in the order in which they came.

A glance asks for what is known without a search. A question that takes long pauses between its parts, so that nobody
waits for more than one of them; its search ends where an act or a glance waits, and it is asked again where nothing was
changed by that.

An act is stopped by the token that came with it: before its turn, or while it is worked out; never once it holds, and
never another act.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TypeVar

from setsolver.errors import BadInput, Overtaken

__all__ = ["Lane"]

T = TypeVar("T")
_MOST_STOPS = 64
"""Tokens of stopped acts that are remembered: a Stop may be here before the act that it is meant for."""


class Lane:
    """Who has the turn.

    Parameters
    ----------
    revision : counts changes; a question that a change overtook is dropped. left : called when a turn ends.
    """

    def __init__(self, revision: Callable[[], int], left: Callable[[], None] = lambda: None) -> None:
        self._revision, self._left = revision, left
        self._turn = threading.Condition()
        self._busy = False
        self._acts: deque[object] = deque()
        self._glances: deque[object] = deque()
        self._questions: deque[object] = deque()
        self._asking = False
        self._gave_way = False
        self._token: str | None = None
        self._stops: tuple[str, ...] = ()

    @contextmanager
    def act(self, token: str | None = None) -> Iterator[None]:
        """Wait for one's turn to change something, and have it.

        token : by which ``stop`` knows this act, of no other one; None = it cannot be stopped. Raises BadInput where it
        was stopped before its turn.
        """
        self._enter(self._acts, asking=False, token=token)
        try:
            yield
        finally:
            self._leave()

    def glance(self, question: Callable[[], T]) -> T:
        """Return the answer of a question that takes no search, before those that take one; it gives way to nobody."""
        self._enter(self._glances, asking=False)
        try:
            return question()
        finally:
            self._leave()

    def ask(self, question: Callable[[], T]) -> T:
        """Return the answer of a question, asked again where it gave way and nothing changed.

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
        if not self._asking or not self._waiting():
            return
        before, gave_way = self._revision(), self._gave_way
        self._leave()
        self._enter(self._questions, asking=True)
        self._gave_way = gave_way  # of this question: another one that was asked meanwhile has begun with its own
        if self._revision() != before:
            raise _overtaken()

    def stop(self, token: str) -> None:
        """Let the act of this token end, or never begin; nothing where it holds already. Waits for nobody."""
        with self._turn:
            self._stops = (*self._stops, token)[-_MOST_STOPS:]
            self._turn.notify_all()

    def heed(self) -> None:
        """Raise BadInput where somebody stopped the act that is being done."""
        if self._stopped:
            raise BadInput("stopped before there was an answer; it has changed nothing")

    def hold(self) -> None:
        """Let the act that is being done hold, whoever stops it from here on. Raises as ``heed``."""
        with self._turn:
            self.heed()
            self._token = None

    @property
    def _stopped(self) -> bool:
        return self._token is not None and self._token in self._stops

    def ends(self) -> bool:
        """Tell a search to end: it was stopped, or is of a question and an act or a glance waits."""
        if self._asking and (self._acts or self._glances):
            self._gave_way = True
        return self._stopped or (self._asking and self._gave_way)

    def _enter(self, line: deque[object], *, asking: bool, token: str | None = None) -> None:
        mine = object()
        with self._turn:
            line.append(mine)
            try:
                while self._busy or self._waiting()[0] is not mine:
                    self._begin(token)
                    self._turn.wait()
                self._begin(token)
            except BaseException:
                line.remove(mine)
                self._turn.notify_all()
                raise
            line.popleft()
            self._busy, self._asking, self._token = True, asking, token

    def _waiting(self) -> deque[object]:
        """Return those of whom the first is next."""
        return self._acts or self._glances or self._questions

    def _begin(self, token: str | None) -> None:
        if token in self._stops:
            raise BadInput("stopped before it was begun; nothing has changed")

    def _leave(self) -> None:
        self._left()
        with self._turn:
            self._busy, self._asking, self._token = False, False, None
            self._turn.notify_all()


def _overtaken() -> Overtaken:
    return Overtaken("the set has changed while this was asked; ask again of the new one")

"""Ctrl-C answered only where it does no harm.

Python raises ``KeyboardInterrupt`` between any two steps of the main thread. Between two steps of a pool's own code,
that may leave a lock taken for ever, and whoever waits for it waits for ever too; before a batch is written, it loses
the batch. So code that drives a pool or writes rows holds Ctrl-C back, and lets it in where it only waits or computes.
"""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Any

__all__ = ["answered", "deaf_children", "held", "remembered", "strike_again"]


class _Held:
    """A handler of SIGINT that passes it to the one before it, at once while ``open``, else when asked."""

    def __init__(self, before: Callable[[int, FrameType | None], Any]) -> None:
        self.before = before
        self.open = False
        self.waiting = False

    def __call__(self, number: int, frame: FrameType | None) -> None:
        self.waiting = True
        if self.open:
            self.strike(number, frame)

    def strike(self, number: int = signal.SIGINT, frame: FrameType | None = None) -> None:
        """Pass on what waits; a next one is held back again, for this one may be on its way out."""
        if self.waiting:
            self.waiting = self.open = False
            self.before(number, frame)


class _Remembering:
    """Python's own handler of SIGINT, with a memory.

    Python drops exceptions in finalisers and in callbacks of its garbage collector, and so loses a Ctrl-C that strikes
    there, as it does at times while libraries load.
    """

    def __init__(self) -> None:
        self.struck = False

    def __call__(self, number: int, frame: FrameType | None) -> None:
        self.struck = True
        signal.default_int_handler(number, frame)


@contextmanager
def remembered() -> Iterator[None]:
    """Within the block, remember that Ctrl-C struck, for ``strike_again``; where Python itself handles it.

    An error that another library makes of it, such as "initialization failed" where it struck while an extension module
    loads, becomes the ``KeyboardInterrupt`` again that it was.
    """
    before = signal.getsignal(signal.SIGINT)
    if not _in_main_thread() or before is not signal.default_int_handler:
        yield
        return
    mine = _Remembering()
    signal.signal(signal.SIGINT, mine)
    try:
        yield
    except Exception as error:
        if mine.struck and (isinstance(error, ImportError) or isinstance(error.__cause__, KeyboardInterrupt)):
            raise KeyboardInterrupt from error
        raise
    finally:
        if signal.getsignal(signal.SIGINT) is mine:
            signal.signal(signal.SIGINT, before)


def strike_again() -> None:
    """Raise ``KeyboardInterrupt`` where Ctrl-C struck and nothing came of it, before what would go on for ever."""
    mine = signal.getsignal(signal.SIGINT)
    if _in_main_thread() and isinstance(mine, _Remembering) and mine.struck:
        raise KeyboardInterrupt


@contextmanager
def held() -> Iterator[None]:
    """Hold Ctrl-C back until the end of the block, or until ``answered`` within it.

    Only the main thread is ever interrupted; elsewhere, and where Python does not handle the signal, nothing changes.
    """
    before = signal.getsignal(signal.SIGINT)
    if not _in_main_thread() or not callable(before):
        yield
        return
    holder = _Held(before)
    signal.signal(signal.SIGINT, holder)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
    holder.strike()


@contextmanager
def answered() -> Iterator[None]:
    """Within a block of ``held``, let Ctrl-C strike here: one that waits at once, a next one at any moment."""
    holder = signal.getsignal(signal.SIGINT)
    if not _in_main_thread() or not isinstance(holder, _Held):
        yield
        return
    holder.open = True
    try:
        holder.strike()
        yield
    finally:
        holder.open = False


@contextmanager
def deaf_children() -> Iterator[None]:
    """Start processes and threads that never get SIGINT: a terminal sends it to children, too, even half-started ones.

    They inherit the mask of this thread (POSIX, pthread_sigmask and execve). Windows has none; nothing changes there.
    """
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    from multiprocessing import resource_tracker  # noqa: PLC0415 - not there on Windows

    resource_tracker.ensure_running()  # it unblocks the signal when it starts (CPython 3.11), so not within the block
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _in_main_thread() -> bool:
    return threading.current_thread() is threading.main_thread()

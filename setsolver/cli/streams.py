"""What commands print, made harmless: names and sentences of files may hold codes that steer a terminal."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import TextIO

__all__ = ["give_up", "inert", "inert_streams", "plain"]

_LAYOUT = "\n\t"


def inert(text: str) -> str:
    """Return a text without control characters, broken bytes and invisible signs, which stand in it as escapes."""
    if text.translate(dict.fromkeys(map(ord, _LAYOUT))).isprintable():
        return text
    return "".join(c if c.isprintable() or c in _LAYOUT else ascii(c)[1:-1] for c in text)


class _Inert(io.TextIOWrapper):
    """A stream on which nothing but text arrives; letters that its encoding lacks stand as escapes.

    plain : the stream beneath, for what is known to be harmless (a progress bar).
    """

    def __init__(self, plain: TextIO) -> None:
        super().__init__(
            plain.buffer,
            encoding=plain.encoding,
            errors="backslashreplace",
            newline="\n" if os.name == "posix" else None,
            line_buffering=getattr(plain, "line_buffering", False),
        )
        self.plain = plain

    def write(self, text: str, /) -> int:
        """Write a text made harmless."""
        return super().write(inert(text))


def plain(stream: TextIO) -> TextIO:
    """Return the stream beneath one of ``inert_streams``."""
    return stream.plain if isinstance(stream, _Inert) else stream


@contextmanager
def inert_streams() -> Iterator[None]:
    """Make all that is printed within the block harmless, by whomever it is printed."""
    before = sys.stdout, sys.stderr
    for stream in before:
        with suppress(AttributeError, ValueError, OSError):
            stream.flush()
    sys.stdout, sys.stderr = (_Inert(stream) if hasattr(stream, "buffer") else stream for stream in before)
    try:
        yield
    finally:
        for stream in (sys.stdout, sys.stderr):
            if isinstance(stream, _Inert):
                with suppress(ValueError, OSError):
                    stream.detach()
        sys.stdout, sys.stderr = before


def give_up(stream: TextIO) -> None:
    """Let nothing more arrive where nothing can: what waits is lost, and Python's own end says nothing of it."""
    with suppress(ValueError, OSError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)

"""Every error that setsolver raises on purpose, and the exit code that each one means.

A message says what failed, the value, and the way out. The command line maps the tree to exit codes once, in
``setsolver.cli.main``: 2 for bad use or bad input, 1 for "no set under these rules".
"""

from __future__ import annotations

from typing import Any, ClassVar

__all__ = [
    "BadBrief",
    "BadInput",
    "BadProblem",
    "BadTaste",
    "BadTerm",
    "CatalogBusy",
    "FrameOutOfReach",
    "FrameRefused",
    "NoFrames",
    "NoRoom",
    "NoSet",
    "NoSuchFrame",
    "SetsolverError",
    "TooFewFrames",
    "WishClash",
]


class SetsolverError(Exception):
    """Root of the tree; never raised itself."""

    exit_code: ClassVar[int] = 2


class BadInput(SetsolverError):  # noqa: N818 - reads as a sentence: "bad input: ..."
    """A path, an option or a document that cannot be used as given."""


class BadBrief(BadInput):
    """A brief that does not hold: wrong key, wrong value, or rules that contradict each other as written.

    ``where`` is the key that it is about, part by part; empty where several are.
    """

    def __init__(self, message: str, where: tuple[str | int, ...] = ()) -> None:
        super().__init__(message)
        self.where = where


class NoRoom(BadBrief):
    """A kind of spread whose pictures find no room on the pages of a brief."""


class NoSet(BadBrief):
    """No set under these rules, known before any search.

    ``ruled_out`` and ``reasons`` are those of the assembly that could not be finished (``rules.Assembly``); ``clashes``
    are the rules that cannot hold together, as the outcome names them (``domain.outcome.Clashing``), empty where the
    message says it all.
    """

    exit_code: ClassVar[int] = 1

    def __init__(
        self,
        message: str,
        ruled_out: tuple[Any, ...] = (),
        reasons: dict[int, str] | None = None,
        clashes: tuple[Any, ...] = (),
    ) -> None:
        super().__init__(message)
        self.ruled_out = ruled_out
        self.reasons = reasons or {}
        self.clashes = clashes


class TooFewFrames(NoSet):
    """A brief whose rules leave fewer frames than the set needs; the message says which rule took how many."""


class WishClash(NoSet):
    """Frames that must be in, and rules that leave no place for them; the message says which, and the way out."""


class BadProblem(BadInput):
    """A problem file whose arrays do not fit together; the message names the key and the index."""


class BadTaste(BadInput):
    """A taste that does not hold: no such file, a wrong value, or a weight that no term has."""


class BadTerm(BadInput):
    """A term that another installed package brings and that cannot be used."""


class NoFrames(BadInput):
    """A folder in which nothing could be read as a photograph."""


class Overtaken(BadInput):
    """A question of a set that has changed since; whoever asked asks again of the new one."""


class NoSuchFrame(BadInput):
    """A frame that was named but is not in the catalog."""


class FrameRefused(BadInput):
    """One file that could not be measured; a scan lists it with this reason and goes on."""


class FrameOutOfReach(FrameRefused):
    """A file that could not be reached just now (vanished, no permission, disk error): the next scan tries again."""


class CatalogBusy(SetsolverError):  # noqa: N818 - reads as a sentence
    """Another scan holds the index."""

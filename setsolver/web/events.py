"""Server-sent events (HTML Standard, section 9.2): pages are told at once of changes, and how a job goes."""

from __future__ import annotations

import asyncio
import json
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import AsyncIterator, Callable

__all__ = ["told_as_it_goes"]

_EVERY = 0.1
"""Seconds between two looks at what changed."""
_ALIVE = 15.0
"""Seconds after which a comment goes out although nothing changed, so that a page that is gone is noticed."""


async def told_as_it_goes(
    stamp: Callable[[], tuple[int, ...]], told: Callable[[], dict[str, Any]], closing: Callable[[], bool]
) -> AsyncIterator[str]:
    """Yield an event at first and after each change of the stamp: what there is to tell then."""
    before: tuple[int, ...] | None = None
    quiet = 0.0
    while not closing():
        now = stamp()
        if now != before:
            before, quiet = now, 0.0
            document = json.dumps(told(), ensure_ascii=True, separators=(",", ":"))
            yield f"data: {document}\n\n"
        elif quiet >= _ALIVE:
            quiet = 0.0
            yield ": still here\n\n"
        await asyncio.sleep(_EVERY)
        quiet += _EVERY

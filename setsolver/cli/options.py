"""Options that several commands share."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

__all__ = ["as_json", "brief", "effort_options", "effort_options_of", "folder", "intent_of"]

Function = TypeVar("Function", bound=Callable[..., Any])

folder = click.argument("folder", type=click.Path(path_type=Path))
brief = click.option(
    "--brief", "-b", "brief_name", default="wall-three", show_default=True, help="A brief's name or its file."
)
as_json = click.option(
    "--json", "as_json", is_flag=True, help="Print a JSON document on stdout and nothing else there."
)


def intent_of(says: str) -> Callable[[Function], Function]:
    """Return a decorator that adds --intent, those of ``render.save.Intent``, with words of its own."""
    intents = ["relative", "perceptual", "saturation", "absolute"]
    return click.option("--intent", default="relative", show_default=True, type=click.Choice(intents), help=says)


def effort_options_of(seconds: float) -> Callable[[Function], Function]:
    """Return a decorator that adds --time-limit, of so many seconds unless told, --seed and --workers."""

    def added(function: Function) -> Function:
        for option in (
            click.option("--workers", type=click.IntRange(1), help="Processes and threads.  [default: all cores]"),
            click.option(
                "--seed",
                default=0,
                type=click.IntRange(0, 2**31 - 1),
                show_default=True,
                help="The same seed gives the same sets.",
            ),
            click.option(
                "--time-limit", default=seconds, show_default=True, type=click.FloatRange(0.1), help="Seconds to solve."
            ),
        ):
            function = option(function)
        return function

    return added


effort_options = effort_options_of(60.0)

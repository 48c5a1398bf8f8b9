"""The whole proof sheet as data: what the template walks through from top to bottom."""

from __future__ import annotations

from collections import Counter
from math import sqrt
from typing import NamedTuple

from setsolver.domain.brief import Brief
from setsolver.domain.outcome import Outcome, SetFound
from setsolver.output.hanging.svg import hanging_svg
from setsolver.output.view.alternates import Alternate, Comparison, alternates, comparison
from setsolver.output.view.captions import title_of
from setsolver.output.view.choice import choice_data
from setsolver.output.view.disc import Disc, disc
from setsolver.output.view.frames import FrameView, frame_views
from setsolver.output.view.ledger import Ledger, ledger_view
from setsolver.output.view.look import LookRow, look_rows
from setsolver.output.view.panels import Panel, panels
from setsolver.output.view.ruled import Repeats, RuledRow, repeats, ruled_rows
from setsolver.output.view.wall import PlanDrawing, Wall, plan_drawing, wall
from setsolver.output.view.words import bound_in_words, counted, inert, number_cm

__all__ = ["Best", "Head", "Page", "page"]

_WALL_WIDTH, _ALTERNATE_WIDTH = 1120, 620
"""CSS pixels that the walls take on a desktop screen."""
_LARGE, _SMALL, _THUMBNAIL = 960, 560, 240
_FULL_SIZE_UP_TO = 12
"""Sets of more frames get smaller pictures, so that the file grows slowly with the size of the set."""


class Head(NamedTuple):
    """Title block. standing : "proven", "open" or "none". facts : (what, words)."""

    title: str
    client: str
    photographer: str
    says: str
    made: str
    catalog: str
    statement: str
    standing: str
    facts: tuple[tuple[str, str], ...]


class Best(NamedTuple):
    """Everything about the first set. on_wall : the wall to scale as SVG, None for pages."""

    found: SetFound
    proof: str
    wall: Wall
    plan: PlanDrawing
    on_wall: bytes | None
    ledger: Ledger
    look: tuple[LookRow, ...]
    panels: tuple[Panel, ...]
    disc: Disc | None
    frames: tuple[FrameView, ...]
    held: tuple[int, ...]


class Page(NamedTuple):
    """A sheet; best is None where there is no set. choice : what a saved choice tells besides ticks, as JSON."""

    outcome: Outcome
    brief: Brief
    head: Head
    best: Best | None
    alternates: tuple[Alternate, ...]
    comparison: Comparison
    ruled: tuple[RuledRow, ...]
    repeats: tuple[Repeats, ...]
    more_repeats: int
    notes: tuple[str, ...]
    choice: str


def page(outcome: Outcome) -> Page:
    """Return the sheet of an outcome."""
    brief = Brief.model_validate(outcome.brief)
    found = outcome.sets[0] if outcome.sets else None
    alike, more = repeats(outcome, _THUMBNAIL)
    return Page(
        outcome=outcome,
        brief=brief,
        head=_head(outcome, brief),
        best=_best(brief, found) if found else None,
        alternates=alternates(brief, outcome, _ALTERNATE_WIDTH) if found else (),
        comparison=comparison(outcome),
        ruled=ruled_rows(outcome),
        repeats=alike,
        more_repeats=more,
        notes=tuple(inert(note) for note in outcome.notes),
        choice=choice_data(outcome),
    )


def _best(brief: Brief, found: SetFound) -> Best:
    shown = wall(brief, found, _WALL_WIDTH)
    less = min(1.0, sqrt(_FULL_SIZE_UP_TO / len(found.frames)))
    frames = frame_views(brief, found, round(_LARGE * less), round(_SMALL * less))
    return Best(
        found=found,
        proof=bound_in_words(found),
        wall=shown,
        plan=plan_drawing(shown),
        on_wall=None if shown.plan.pages else hanging_svg(shown.plan, title_of(brief), cautions=False),
        ledger=ledger_view(found),
        look=look_rows(brief, found),
        panels=panels(brief, found),
        disc=disc(brief, found),
        frames=frames,
        held=tuple(view.number for view in frames if _held(view)),
    )


def _held(view: FrameView) -> bool:
    """True where the correction asked for more than the tone curve may do."""
    asked = view.frame.correction
    got = [getattr(view.after, axis) - getattr(view.tone, axis) for axis in ("black", "mid", "white")]
    return any(abs(g - w) > 0.05 for g, w in zip(got, (asked.black, asked.mid, asked.white), strict=True))


def _head(outcome: Outcome, brief: Brief) -> Head:
    found = outcome.sets[0] if outcome.sets else None
    catalog = inert(outcome.catalog.rstrip("/").rpartition("/")[2]) or inert(outcome.catalog)
    return Head(
        title=title_of(brief),
        client=inert(brief.client),
        photographer=inert(brief.photographer),
        says=inert(brief.says),
        made=outcome.made,
        catalog=catalog,
        statement=bound_in_words(found) if found else _without(outcome),
        standing="none" if found is None else "proven" if found.proven else "open",
        facts=_facts(outcome, brief, found),
    )


def _without(outcome: Outcome) -> str:
    if outcome.status == "none":
        return "No set of these frames keeps all rules of this brief."
    return "No set was found in the time given, and none was ruled out. Allow more time, or loosen the brief."


def _facts(outcome: Outcome, brief: Brief, found: SetFound | None) -> tuple[tuple[str, str], ...]:
    seen = (
        ("Chosen from", counted(outcome.catalog_frames, "frame")),
        ("Fit for this brief", counted(outcome.considered, "frame")),
    )
    if found is None:
        return (("Wanted", counted(brief.size, "frame")), *seen)
    return (
        ("Score", f"{found.score:.1f} points"),
        ("Prints", _prints(found)),
        *seen,
    )


def _prints(found: SetFound) -> str:
    """Return "3 prints, 30 x 20 cm each" with a true sign, or how many there are of each size."""
    places = [frame.position for frame in found.frames]
    prints = counted(len(places), "print")
    sizes = Counter(f"{number_cm(place.width_cm)} \u00d7 {number_cm(place.height_cm)} cm" for place in places)
    if len(sizes) == 1:
        return f"{prints}, {next(iter(sizes))}" + (" each" if len(places) > 1 else "")
    return f"{prints}: " + ", ".join(f"{many} of {size}" for size, many in sizes.items())

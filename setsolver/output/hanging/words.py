"""Lengths for a tape measure, names that a typeface can draw, and what to heed before going to a wall."""

from __future__ import annotations

from fractions import Fraction

from setsolver.domain.plan import Plan
from setsolver.domain.units import CM_PER_INCH
from setsolver.layout import Hung

__all__ = ["CAUTIONS", "both", "centimetres", "drawable", "from_where", "hooks_told", "inches"]

_FINEST = 16

CAUTIONS = (
    (
        "Weigh every frame as it will hang, glass and wire with it (glass: about 2.5 kg for each square metre and "
        "millimetre of thickness). Choose hooks, anchors, wire and wire fixings that are rated for more than that in "
        "your type of wall; two hooks for large frames."
    ),
    "Find out what the wall is made of and what runs in it: no hole over or under sockets, switches, pipes or cables.",
    (
        "No large or glazed frames over beds, cots, chairs or couches; where one hangs there all the same, use closed "
        "hooks and fix its lower corners. Glass breaks: carry it upright, with gloves."
    ),
    (
        "Stand on a ladder that is made for it, on level ground, with somebody to hold it; on stairs use a stair "
        "ladder or a platform, never a chair."
    ),
    (
        "Local building codes come first; where they ask for a licensed trade, call one. This plan gives places; it "
        "cannot judge your wall."
    ),
)
"""Glass 2,500 kg/m3 (calcexp.com); beds and seats, two hooks: FEMA how2015, April 2008, and FEMA 528, October 2014;
closed hooks, corners: earthquakecountry.org; the others are common practice, no source."""


def centimetres(cm: float) -> str:
    """Return "145.0 cm"."""
    return f"{cm:.1f} cm"


def inches(cm: float) -> str:
    """Return "57 1/16 in": inches to the nearest sixteenth, as a tape shows them."""
    whole, rest = divmod(round(cm / CM_PER_INCH * _FINEST), _FINEST)
    if not rest:
        return f"{whole} in"
    return f"{whole} {Fraction(rest, _FINEST)} in" if whole else f"{Fraction(rest, _FINEST)} in"


def both(plan: Plan, cm: float) -> str:
    """Return a length in both units, the one that the wall's owner measures in first."""
    first, second = centimetres(cm), inches(cm)
    if plan.wall is not None and plan.wall.unit == "inch":
        first, second = second, first
    return f"{first} ({second})"


def from_where(plan: Plan) -> str:
    """Return what distances to the right count from."""
    return "the left edge of the set" if plan.left_cm is None else "the left corner of the wall"


def hooks_told(plan: Plan, frame: Hung, caption: str) -> str:
    """Return a print by its number and caption, and where its hooks go."""
    lefts = " and ".join(both(plan, hook.left_cm) for hook in frame.hooks)
    what = "hook" if len(frame.hooks) == 1 else "hooks"
    floor = both(plan, frame.hooks[0].floor_cm)
    return f"{frame.number}. {caption}: {what} {lefts} from {from_where(plan)}, {floor} above the floor."


def drawable(text: str, glyphs: frozenset[int]) -> str:
    """Return text with what a typeface cannot draw as visible escapes."""
    return "".join(c if ord(c) in glyphs else ascii(c)[1:-1] for c in text)

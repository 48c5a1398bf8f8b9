"""Lines below tonal efforts over a stretch of looks: what makes a box of looks a matter of its ends.

Effort is convex in the look, for one candidate and for members together. Of all lines nowhere above it on the stretch,
the one taken has the slope of its chord: it is the effort itself where the stretch lies to one side of a tone.

Invariant (tested): the line is nowhere above the effort on the stretch.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from setsolver.solver.compiled import step

if TYPE_CHECKING:
    from setsolver.domain.problem import Floats, Ints

__all__ = ["effort_at", "line_below", "line_below_members"]


@step
def line_below(tone: float, slack: float, low: float, high: float) -> tuple[float, float]:
    """Return the values at ``low`` and at ``high`` (above ``low``) of the line below max(0, |tone - l| - slack)."""
    at_low = max(0.0, abs(tone - low) - slack)
    at_high = max(0.0, abs(tone - high) - slack)
    slope = (at_high - at_low) / (high - low)
    corner = tone + slack if slope > 0.0 else tone - slack  # where a line of this slope touches the effort from below
    return slope * (low - corner), slope * (high - corner)


@step
def effort_at(tone: Floats, member: Ints, n: int, axis: int, look: float, slack: float) -> float:
    """Return the joint effort sum_i max(0, |tone_i - look| - slack) of member[:n] on one axis."""
    effort = 0.0
    for i in range(n):
        effort += max(0.0, abs(tone[member[i], axis] - look) - slack)
    return effort


@step
def line_below_members(
    tone: Floats, member: Ints, n: int, axis: int, low: float, high: float, slack: float
) -> tuple[float, float]:
    """Return the values at ``low`` and at ``high`` of the line below the joint effort of member[:n].

    It touches the effort at an end or at a kink, where effort less slope times look is least.
    """
    at_low = effort_at(tone, member, n, axis, low, slack)
    at_high = effort_at(tone, member, n, axis, high, slack)
    slope = (at_high - at_low) / (high - low)
    least = min(at_low - slope * low, at_high - slope * high)
    for i in range(n):
        for side in range(2):
            look = tone[member[i], axis] + (2 * side - 1) * slack
            if low < look < high:
                least = min(least, effort_at(tone, member, n, axis, look, slack) - slope * look)
    return least + slope * low, least + slope * high

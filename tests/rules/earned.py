"""What frames of a made-up shoot earn by a term, of which each measure is given by hand."""

from dataclasses import replace

import pytest

from setsolver.rules import assemble
from tests.rules.builders import make_brief, make_frame, make_snapshot


def assembled(term, measure, values):
    """Return the assembly of one frame for each value of a measure; None is not looked at yet."""
    frames = [make_frame(number) for number in range(len(values))]
    frames = [
        replace(one, measures=replace(one.measures, **{measure: of})) for one, of in zip(frames, values, strict=True)
    ]
    return assemble(make_snapshot(*frames), make_brief(size=1, weights={term.name: 15}))


def earned(term, measure, values):
    """Return what each frame earns before weights, the same in every crop and role."""
    assembly = assembled(term, measure, values)
    found = {}
    for gains, rendition in zip(assembly.parts.gains[term.name], assembly.renditions, strict=True):
        found.setdefault(rendition.frame.id, set()).update(gains.tolist())
    return [pytest.approx(only) for (only,) in (found[number] for number in range(len(values)))]


def said_of_first(term, measure, values):
    """Return what the term says of the first frame."""
    assembly = assembled(term, measure, values)
    at = next(row for row, one in enumerate(assembly.renditions) if one.frame.id == 0)
    return term.says(assembly.member(at, 0))

"""Every term reads what was learned of frames: made one by one or all at once, they give the same problem."""

from dataclasses import replace

import numpy as np
import pytest

from setsolver.domain.last import forget_all
from setsolver.domain.learned import LearnedFrames
from setsolver.domain.measures import CLIP_SIZE, SCALES, Appeal, Clip, Palette
from setsolver.domain.problem import Problem
from setsolver.rules import assemble
from setsolver.rules.registry import weight_names
from tests.rules.builders import make_brief, make_random_snapshot

BRIEF = make_brief(min_ppi=100, weights=dict.fromkeys(weight_names(), 3.0))


def shoot():
    rng = np.random.default_rng(4)
    none = np.zeros(CLIP_SIZE[1], np.float16)
    snapshot = make_random_snapshot(30, seed=4)
    frames = tuple(
        replace(
            frame,
            said=SCALES[frame.id % 3] if frame.id % 7 == 0 else None,
            stars=float(frame.id % 6) if frame.id % 4 == 0 else None,
            measures=replace(
                frame.measures,
                appeal=Appeal(float(rng.uniform(1, 5)), 0.5),
                palette=Palette(*rng.normal(size=2) * 15, 9.0),
                clip=Clip(rng.normal(size=CLIP_SIZE[0]).astype(np.float16), none, none),
                people=float(rng.uniform()),
            ),
        )
        for frame in snapshot.frames
    )
    learned = LearnedFrames(frames, rng.dirichlet([1, 1, 1], 30), rng.uniform(1, 5, 30))
    return replace(snapshot, frames=learned), replace(snapshot, frames=tuple(learned))


@pytest.mark.parametrize("fresh", [True, False], ids=["from nothing", "after another catalog"])
def test_terms_read_what_was_learned(fresh):
    lazily, made = shoot()
    one = assemble(lazily, BRIEF)
    if fresh:
        forget_all()
    two = assemble(made, BRIEF)
    for key in Problem.keys():  # noqa: SIM118 - not a mapping
        np.testing.assert_array_equal(getattr(one.problem, key), getattr(two.problem, key), err_msg=key)
    for row in range(one.problem.renditions):
        mine, theirs = one.renditions[row], two.renditions[row]
        assert (mine.odds, mine.tone, mine.frame.odds) == (theirs.odds, theirs.tone, theirs.frame.odds)
        assert mine.frame.measures.appeal == theirs.frame.measures.appeal

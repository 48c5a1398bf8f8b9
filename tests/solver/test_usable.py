"""Which renditions may be in at all, against the rules read one by one: every reason to be out, and no other."""

import numpy as np
import pytest

from setsolver.domain.problem import Problem
from setsolver.domain.validate import FEASIBILITY_TOLERANCE
from setsolver.solver.ruleset import Ruleset
from setsolver.solver.teams import teams_of
from setsolver.solver.usable import usable


def rules_by(seed):
    rng = np.random.default_rng(seed)
    total, roles, axes = int(rng.integers(4, 14)), int(rng.integers(1, 4)), int(rng.integers(0, 3))
    frame = np.sort(rng.integers(0, total, total))
    frames = np.unique(frame)
    gain = np.where(rng.random((total, roles)) < 0.5, np.nan, 1.0)
    shuffled = rng.permutation(frames)
    barred = int(rng.integers(0, min(3, len(frames))))
    size = int(rng.integers(1, len(frames) - barred + 1))
    wished = int(rng.integers(0, min(3, size + 1)))
    rows = int(rng.integers(0, 3))
    pairs = [rng.choice(frames, 2, replace=False) for _ in range(4)] if len(frames) > 1 else []
    return Ruleset.of(
        Problem.from_arrays(
            {
                "size": size,
                "frame": frame,
                "gain": gain,
                "role_max": rng.integers(0, 3, roles),
                "role_min": np.zeros(roles, dtype=np.int64),
                "tone": np.round(rng.normal(0, 2, (total, axes)), 1),
                "tone_weight": np.ones(axes),
                "tone_slack": np.zeros(axes),
                "tone_reach": np.round(rng.uniform(0.3, 3, axes), 1),
                "group": rng.integers(-1, 3, (rows, total)),
                "group_cap": rng.integers(1, 3, rows),
                "conflict": np.array(pairs, dtype=np.int64).reshape(-1, 2),
                "include": shuffled[:wished],
                "exclude": shuffled[wished : wished + barred],
            }
        )
    )


def why_out(rules, at):
    """Return every reason why a rendition cannot be in."""
    frame, reasons = rules.frame[at], []
    if frame in rules.exclude:
        reasons.append("excluded")
    can = [r for r in range(len(rules.role_max)) if rules.playable[at, r] and rules.role_max[r] > 0]
    if not can and not rules.strangers.any():
        reasons.append("of no use")
    for a, b in rules.conflict.tolist():
        if (a == frame and b in rules.include) or (b == frame and a in rules.include):
            reasons.append("foe of a wish")
    for wish in rules.include:
        fits = [
            np.all(np.abs(rules.tone[at] - rules.tone[other]) <= 2 * rules.width + FEASIBILITY_TOLERANCE)
            for other in np.flatnonzero(rules.frame == wish)
        ]
        if not any(fits):
            reasons.append("out of reach of a wish")
    for labels, cap in zip(rules.group, rules.group_cap, strict=True):
        whole = [f for f in rules.include if labels[at] >= 0 and (labels[rules.frame == f] == labels[at]).all()]
        if len(whole) >= cap and frame not in rules.include:
            reasons.append("in a group that wishes fill")
    return reasons


@pytest.mark.parametrize("strangers", [0, 1])
def test_who_may_be_in_is_whom_no_rule_keeps_out(strangers):
    seen = set()
    for seed in range(400):
        rules = rules_by(seed)
        rules.strangers[0] = strangers
        reasons = [why_out(rules, at) for at in range(len(rules.frame))]
        assert usable(rules, teams_of(rules)[0]).tolist() == [not why for why in reasons], seed
        seen |= {why[0] for why in reasons if len(why) == 1}
    of_use = set() if strangers else {"of no use"}
    assert seen == {"excluded", "foe of a wish", "out of reach of a wish", "in a group that wishes fill"} | of_use

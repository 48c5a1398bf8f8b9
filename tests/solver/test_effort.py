"""The search takes no other course than it took: what proof drops, where it splits, what bounds a node."""

import json

import pytest

from tests.solver.effort import COUNTED, FILE, counted

RECORDED = json.loads(FILE.read_text(encoding="utf-8"))
SAY = "takes another course: where that is meant, look at both and record anew: python -m tests.solver.effort"


@pytest.mark.parametrize("what", COUNTED)
def test_the_search_takes_as_much_as_it_took(what):
    now = counted(what, list(RECORDED[what]))
    for name, before in RECORDED[what].items():
        assert now[name] == pytest.approx(before, rel=1e-6), f"{what}, {name}: the search {SAY}"


def test_many_problems_are_recorded():
    """Of those that all kinds of machine code take alike; fewer would tell less of what the search does."""
    assert {what: len(rows) >= 0.5 * len(COUNTED[what][1]) for what, rows in RECORDED.items()} == dict.fromkeys(
        COUNTED, True
    )

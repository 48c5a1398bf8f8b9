"""The search takes no other course than it took: what proof drops, where it splits, what bounds a node."""

import json

import pytest

from tests.solver.effort import COUNTED, FILE, WITNESSES, counted, versions

RECORDED = json.loads(FILE.read_text(encoding="utf-8"))
SAY = "takes another course: where that is meant, look at both and record anew: python -m tests.solver.effort"


@pytest.mark.parametrize("what", COUNTED)
def test_the_search_takes_as_much_as_it_took(what):
    if any(RECORDED["versions"][name] != versions()[name] for name in WITNESSES.get(what, ())):
        pytest.skip(f"{what} was recorded with {RECORDED['versions']}, which may give another answer as good")
    now = counted(what, list(RECORDED[what]))
    for name, before in RECORDED[what].items():
        assert now[name] == pytest.approx(before, rel=1e-6), f"{what}, {name}: the search {SAY}"


@pytest.mark.parametrize("what", COUNTED)
def test_many_problems_are_recorded(what):
    """Of those that all kinds of machine code take alike; fewer would tell less of what the search does."""
    assert len(RECORDED[what]) >= 0.7 * len(COUNTED[what][1])

"""The time of a search: steps end at their share of it, or when somebody says stop."""

import pytest

from setsolver.solver.book import timing as module
from setsolver.solver.book.timing import Timing


@pytest.fixture
def clock(monkeypatch):
    """Return a clock that is set by hand, in seconds."""
    now = [100.0]
    monkeypatch.setattr(module.time, "perf_counter", lambda: now[0])
    return now


def test_each_step_has_until_its_share_of_the_time(clock):
    timing = Timing(10.0)
    assert (timing.until(0.5), timing.until(1.0)) == (105.0, 110.0)
    clock[0] = 105.5
    assert timing.seconds == 5.5
    assert [timing.late(share) for share in (0.5, 0.6, 1.0)] == [True, False, False]
    clock[0] = 110.5
    assert timing.late()


def test_without_a_limit_nothing_is_late_but_what_is_stopped(clock):
    asked = [False]
    timing = Timing(None, lambda: asked[0])
    clock[0] = 1e9
    assert (timing.until(0.5), timing.late()) == (None, False)
    asked[0] = True
    assert timing.late(0.1)

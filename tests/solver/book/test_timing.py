"""The time and work of a search: steps end at their share, or when somebody says stop."""

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


def test_work_is_a_multiple_of_what_a_step_takes_by_itself():
    assert Timing(None).allowed(30.0) is None
    assert Timing(None, work=0.5).allowed(30.0) == 15.0


def test_only_time_hurries(clock):
    asked = [False]
    timing = Timing(10.0, lambda: asked[0])
    clock[0] = 104.0
    asked[0] = True
    assert timing.late(0.5)
    assert not timing.hurried
    clock[0] = 106.0
    assert timing.late(0.5)
    assert timing.hurried

"""How many processors may be used, on systems that tell and on those that do not."""

import os

import pytest

from setsolver.machine import cores


@pytest.mark.skipif(not hasattr(os, "sched_getaffinity"), reason="this system does not tell")
def test_processors_that_are_not_ours_do_not_count(monkeypatch):
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {3, 5})
    assert cores() == 2


@pytest.mark.parametrize(("all_of_them", "found"), [(8, 8), (None, 1)])
def test_where_the_system_does_not_tell_all_of_them_count(monkeypatch, all_of_them, found):
    monkeypatch.delattr(os, "sched_getaffinity", raising=False)
    monkeypatch.setattr(os, "cpu_count", lambda: all_of_them)
    assert cores() == found

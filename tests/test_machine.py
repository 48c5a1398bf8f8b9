"""How many processors may be used, on systems that tell and on those that do not."""

import os

import pytest
import scipy.linalg  # noqa: F401 - brings linear algebra of its own
from threadpoolctl import threadpool_info, threadpool_limits

from setsolver.machine import cores, one_blas_thread


@pytest.mark.skipif(not hasattr(os, "sched_getaffinity"), reason="this system does not tell")
def test_processors_that_are_not_ours_do_not_count(monkeypatch):
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {3, 5})
    assert cores() == 2


@pytest.mark.parametrize(("all_of_them", "found"), [(8, 8), (None, 1)])
def test_where_the_system_does_not_tell_all_of_them_count(monkeypatch, all_of_them, found):
    monkeypatch.delattr(os, "sched_getaffinity", raising=False)
    monkeypatch.setattr(os, "cpu_count", lambda: all_of_them)
    assert cores() == found


def blas_threads():
    """Return how many threads linear algebra has, by library, as threadpoolctl finds them."""
    return [library["num_threads"] for library in threadpool_info() if library["user_api"] == "blas"]


@pytest.mark.parametrize("first", [0, 1])
def test_of_blocks_that_overlap_the_last_to_end_sets_linear_algebra_s_threads_back(first):
    """As on two threads: where the first to begin ended first, the other had two again, and all that followed one."""
    with threadpool_limits(2, "blas"):
        assert set(blas_threads()) == {2}
        blocks = [one_blas_thread(), one_blas_thread()]
        for block in blocks:
            block.__enter__()
        blocks[first].__exit__(None, None, None)
        assert set(blas_threads()) == {1}
        blocks[1 - first].__exit__(None, None, None)
        assert set(blas_threads()) == {2}


def test_a_block_that_fails_sets_linear_algebra_s_threads_back():
    with threadpool_limits(2, "blas"):
        with pytest.raises(KeyError), one_blas_thread():
            raise KeyError
        assert set(blas_threads()) == {2}

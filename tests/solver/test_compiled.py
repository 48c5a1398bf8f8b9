"""Kernels compile with or without a place for their code, and make no arrays."""

import numba
import numpy as np
import pytest
from numba.core.errors import TypingError

from setsolver.solver import compiled


def test_where_nothing_can_be_written_kernels_still_compile(monkeypatch):
    monkeypatch.setattr(compiled, "code_folder", lambda *_: None)
    before = numba.config.CACHE_DIR
    double = compiled.kernel(lambda x: 2 * x)
    assert double(21) == 42
    assert before == numba.config.CACHE_DIR


def test_a_kernel_that_makes_an_array_is_refused():
    wasteful = compiled.kernel(lambda n: np.zeros(n).sum())
    with pytest.raises(TypingError, match="zeros"):
        wasteful(3)


@pytest.mark.parametrize("linked", [True, False])
def test_steps_serve_kernels_in_either_way_of_linking(monkeypatch, linked):
    monkeypatch.setattr(compiled, "TESTED", linked)
    below = compiled.step(lambda x: x + 1)
    between = compiled.step(lambda x: 2 * below(x))
    above = compiled.kernel(lambda x: between(x) + below(x))
    assert above(20) == 63


def handed(start):
    """Return how often a step is compiled that a kernel hands a count, and then ``start()`` of it."""

    @compiled.step
    def more(count):
        return count + 1

    @compiled.kernel
    def asked(n):
        return more(n) + more(start())

    assert asked(4) == 6
    return len(more.signatures)


def test_a_step_that_is_handed_zero_is_compiled_once():
    zero = compiled.ZERO
    plain, typed = compiled.step(lambda: 0), compiled.step(lambda: zero)
    assert handed(plain) == 2
    assert handed(typed) == 1

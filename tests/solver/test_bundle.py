"""Kernels read the fields of a bundle as Python does."""

import pickle

import numpy as np
import pytest

from setsolver.solver.bundle import Bundle
from setsolver.solver.compiled import kernel


class Inner(Bundle):
    """Held by another one."""

    row: np.ndarray
    flag: bool


class Outer(Bundle):
    """One of everything."""

    count: int
    share: float
    grid: np.ndarray
    mark: np.ndarray
    inner: Inner


@kernel
def summed(outer):
    total = outer.share * outer.count
    for i in range(outer.grid.shape[0]):
        for j in range(outer.grid.shape[1]):
            total += outer.grid[i, j] * outer.inner.row[j]
            outer.mark[i] = i + 1
    return -total if outer.inner.flag else total


def outer(rows, columns, *, flag=False):
    rng = np.random.default_rng(rows)
    inner = Inner(np.arange(columns), flag)
    return Outer(3, 0.5, rng.normal(size=(rows, columns)), np.zeros(rows, dtype=np.int64), inner)


@pytest.mark.parametrize(("rows", "columns"), [(0, 3), (1, 1), (4, 3)])
@pytest.mark.parametrize("flag", [True, False])
def test_fields_are_read_and_written(rows, columns, flag):
    made = outer(rows, columns, flag=flag)
    expected = 1.5 + float((made.grid * made.inner.row).sum())
    assert summed(made) == pytest.approx(-expected if flag else expected)
    assert made.mark.tolist() == list(range(1, rows + 1))


def test_one_compiled_function_serves_all_sizes_and_read_only_arrays():
    made = outer(2, 2)
    made.grid.flags.writeable = False
    summed(made)
    summed(outer(5, 7))
    assert len(summed.signatures) == 1


def test_an_array_in_another_order_is_refused():
    with pytest.raises(ValueError, match="C order"):
        Inner(np.zeros((4, 4))[:, 0], flag=False)


def test_types_keep_through_the_cache():
    summed(outer(2, 2))
    kind = summed.signatures[0][0]
    assert pickle.loads(pickle.dumps(kind)) == kind

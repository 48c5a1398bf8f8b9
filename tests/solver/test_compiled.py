"""Kernels compile with or without a place for their code, and make no arrays."""

import ast
from pathlib import Path

import numba
import numpy as np
import pytest
from numba.core.errors import TypingError

from setsolver.solver import compiled, linked


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


def test_code_on_disk_is_stale_where_a_constant_changes_that_a_kernel_has_taken_from_another_file():
    sources = {path.stem: path.read_text(encoding="utf-8") for path in Path(compiled.__file__).parent.glob("*.py")}
    keyed = {name for name, text in sources.items() if any(mark.decode() in text for mark in compiled._MARKS)}
    taken = {
        (node.module.rpartition(".")[2], one.name)
        for name in keyed
        for node in ast.parse(sources[name]).body
        if isinstance(node, ast.ImportFrom) and node.module.startswith("setsolver.")
        for one in node.names
        if one.name.isupper()
    }
    assert ("compiled", "NOTHING") in taken
    assert {module for module, _ in taken} <= keyed


def test_kernels_take_in_their_steps_with_the_version_that_this_was_tested_with():
    assert linked.TESTED is numba.__version__.startswith("0.68.")


def rows_of(table, row, at):
    """Do what kernels do: loops, rows, slices, constant and computed indexes, tuples, branches, names set again."""
    total, most = 0.0, -1.0
    for i in range(table.shape[0]):
        first, second = table[i, 0], table[i][1]
        part = row[:at]
        for j in range(len(part)):
            part[j] += first if j % 2 else -second
        most = max(most, abs(row[i]))
        while total < most:
            total += 0.5
    return total, most


@pytest.mark.skipif(not linked.TESTED, reason="kernels are compiled numba's own way with this version")
def test_what_the_fewer_passes_compile_is_what_numba_compiles():
    table, row = np.arange(12.0).reshape(4, 3), np.linspace(-2, 3, 4)
    ours, theirs = row.copy(), row.copy()
    assert compiled.kernel(rows_of)(table, ours, 3) == numba.njit(rows_of)(table, theirs, 3)
    assert ours.tolist() == theirs.tolist()
    assert ours.tolist() != row.tolist()


@pytest.mark.skipif(not linked.TESTED, reason="kernels are compiled numba's own way with this version")
def test_every_pass_that_is_needed_is_one_of_numbas(monkeypatch):
    monkeypatch.setattr(compiled, "code_folder", lambda *_: None)  # code that lies on disk takes no passes
    double = compiled.kernel(lambda x: 2 * x)
    assert double(21) == 42
    (times,) = double.get_metadata(double.signatures[0])["pipeline_times"].values()
    assert len(times) == len(linked._NEEDED)


@pytest.mark.skipif(not linked.TESTED, reason="kernels are compiled numba's own way with this version")
def test_flags_are_hashed_once_and_stand_for_numbas_own():
    plain = linked.Flags()
    plain.nrt, plain.error_model = False, "numpy"
    ours = linked._Flags(plain)
    assert ours == plain
    assert plain == ours
    assert hash(ours) == hash(plain)
    assert {plain: 1}[ours] == 1
    changed = ours.copy()
    changed.nrt = True
    assert changed != ours
    assert changed.values() != ours.values()

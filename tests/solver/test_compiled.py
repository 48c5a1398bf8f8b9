"""Compiled code is kept where it can be written, in a folder that changes with any kernel's source, or not at all."""

from pathlib import Path

import numba
import numpy as np
import pytest
from numba.core.errors import TypingError

from setsolver.solver import compiled


@pytest.fixture
def forgotten(monkeypatch):
    monkeypatch.setattr(compiled, "_KNOWN", {})


def test_a_read_only_install_keeps_code_in_the_users_cache(forgotten, monkeypatch, tmp_path):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    writable = compiled._writable
    monkeypatch.setattr(compiled, "_writable", lambda p: p.is_relative_to(tmp_path) and writable(p))
    assert Path(compiled._cache_folder()).parent == tmp_path


def test_where_nothing_can_be_written_kernels_still_compile(forgotten, monkeypatch):
    monkeypatch.setattr(compiled, "_writable", lambda _: False)
    assert compiled._cache_folder() is None
    before = numba.config.CACHE_DIR
    double = compiled.kernel(lambda x: 2 * x)
    assert double(21) == 42
    assert before == numba.config.CACHE_DIR


def test_the_folder_changes_with_the_source_of_a_kernel(monkeypatch, tmp_path):
    source = tmp_path / "some.py"
    monkeypatch.setattr(compiled, "_HERE", tmp_path)
    source.write_text("@step\ndef f(): return 1\n")
    first = compiled._digest()
    source.write_text("@step\ndef f(): return 2\n")
    assert compiled._digest() != first


def test_a_file_in_the_way_is_not_writable(tmp_path):
    (tmp_path / "taken").write_text("")
    assert not compiled._writable(tmp_path / "taken")
    assert compiled._writable(tmp_path / "fresh")


def test_a_kernel_that_makes_an_array_is_refused():
    wasteful = compiled.kernel(lambda n: np.zeros(n).sum())
    with pytest.raises(TypingError, match="zeros"):
        wasteful(3)


def test_where_nobody_is_at_home_kernels_still_compile(forgotten, monkeypatch):
    def nobody():
        raise RuntimeError("Could not determine home directory.")

    monkeypatch.delenv("XDG_CACHE_HOME", raising=False)
    monkeypatch.setattr(compiled.Path, "home", nobody)
    monkeypatch.setattr(compiled, "_writable", lambda _: False)
    assert compiled._cache_folder() is None
    assert compiled._users_cache() == []


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

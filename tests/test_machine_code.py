"""Compiled code is kept where it can be written, in a folder that changes with any kernel's source, or not at all."""

import subprocess
import sys
from pathlib import Path

import pytest

from setsolver import machine_code

MARKS = (b"@step",)


@pytest.fixture
def package(tmp_path):
    folder = tmp_path / "package"
    folder.mkdir()
    (folder / "some.py").write_text("@step\ndef f(): return 1\n")
    return folder


def test_code_lies_beside_the_package(package):
    folder = Path(machine_code.code_folder(package, MARKS))
    assert folder.parent == package / "__pycache__"
    assert folder.is_dir()


def test_a_read_only_install_keeps_code_in_the_users_cache(package, monkeypatch, tmp_path):
    home = tmp_path / "home"
    monkeypatch.setenv("XDG_CACHE_HOME", str(home))
    writable = machine_code._writable
    monkeypatch.setattr(machine_code, "_writable", lambda p: p.is_relative_to(home) and writable(p))
    assert Path(machine_code.code_folder(package, MARKS)).parent == home


def test_the_folder_changes_with_the_source_of_a_kernel_alone(package):
    first = machine_code._digest(package, MARKS)
    (package / "other.py").write_text("x = 1\n")
    assert machine_code._digest(package, MARKS) == first
    (package / "some.py").write_text("@step\ndef f(): return 2\n")
    assert machine_code._digest(package, MARKS) != first


def test_a_file_in_the_way_is_not_writable(tmp_path):
    (tmp_path / "taken").write_text("")
    assert not machine_code._writable(tmp_path / "taken")
    assert machine_code._writable(tmp_path / "fresh")


def test_where_nobody_is_at_home_nothing_is_kept(package, monkeypatch):
    def nobody():
        raise RuntimeError("Could not determine home directory.")

    monkeypatch.delenv("XDG_CACHE_HOME", raising=False)
    monkeypatch.setattr(machine_code.Path, "home", nobody)
    monkeypatch.setattr(machine_code, "_writable", lambda _: False)
    assert machine_code._users_cache() == []
    assert machine_code.code_folder(package, MARKS) is None


def test_another_process_loads_what_one_compiled(tmp_path):
    """Numba counts what it loads from its cache and what it compiles."""
    (tmp_path / "kernels.py").write_text(
        "import numba\n"
        "from pathlib import Path\n"
        "from setsolver.machine_code import code_folder, keeping\n"
        "with keeping(code_folder(Path(__file__).parent, (b'numba',))):\n"
        "    @numba.njit(cache=True)\n"
        "    def twice(x): return 2 * x\n"
        "assert twice(21) == 42\n"
        "print(sum(twice.stats.cache_hits.values()), sum(twice.stats.cache_misses.values()))\n"
    )
    said = [
        subprocess.run([sys.executable, "kernels.py"], cwd=tmp_path, capture_output=True, text=True, check=True).stdout
        for _ in range(2)
    ]
    assert said == ["0 1\n", "1 0\n"]

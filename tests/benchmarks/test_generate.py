"""The benchmark problems are the ones that the numbers in benchmarks/README.md were measured on."""

import hashlib
import runpy
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from setsolver.usecases.problem_file import load

ROOT = Path(__file__).parents[2]
ORIGIN = ROOT.parent / "shared" / "bench" / "make_problem.py"
arrays = runpy.run_path(str(ROOT / "benchmarks" / "generate.py"))["arrays"]

CASES = [
    {"renditions": 50},
    {"renditions": 400, "size": 2, "seed": 5, "per_frame": 3},
    {"renditions": 1000, "size": 12, "seed": 9, "per_frame": 2, "tones": 5, "dims": 3},
    {"renditions": 7, "size": 9, "seed": 2, "tones": 1},
]


@pytest.mark.skipif(not ORIGIN.exists(), reason="the first writing of this generator is not in this clone")
@pytest.mark.parametrize("case", CASES)
def test_arrays_equal_the_first_writing_of_the_generator_bit_for_bit(case):
    first = runpy.run_path(str(ORIGIN))["make_problem"](**case)
    mine = arrays(**case)
    assert list(mine) == list(first)
    for key, array in first.items():
        assert mine[key].tobytes() == array.tobytes(), key
        assert mine[key].shape == array.shape, key


def test_arrays_stay_what_they_are():
    """A digest of one problem, rounded, so that a change of numpy's last bits does not count."""
    digest = hashlib.sha256()
    for key, array in sorted(arrays(300, 6, 1, 2).items()):
        rounded = np.round(array, 6) + 0.0 if array.dtype.kind == "f" else array
        digest.update(key.encode() + np.ascontiguousarray(rounded).astype("U24").tobytes())
    assert digest.hexdigest()[:16] == "dc143654b2205a40"


def test_the_script_writes_a_problem_file(tmp_path):
    out = tmp_path / "p.npz"
    command = [sys.executable, str(ROOT / "benchmarks" / "generate.py"), str(out), "--renditions", "60", "--seed", "4"]
    subprocess.run(command, check=True)
    problem = load(out)
    np.testing.assert_array_equal(problem.gain, arrays(60, seed=4)["gain"])

"""Problem files: a round trip, and one clear sentence for every kind of bad file."""

import zipfile

import numpy as np
import pytest

from setsolver.errors import BadInput, BadProblem
from setsolver.usecases.problem_file import load, save
from tests.solver.small import small_arrays, small_problem


@pytest.mark.parametrize("seed", range(20))
def test_a_saved_problem_comes_back_the_same(tmp_path, seed):
    problem = small_problem(seed)
    save(problem, tmp_path / "p.npz")
    back = load(tmp_path / "p.npz")
    for key, array in problem.to_arrays().items():
        np.testing.assert_array_equal(array, getattr(back, key))
    assert [file.name for file in tmp_path.iterdir()] == ["p.npz"]


def test_missing_keys_mean_no_such_rule(tmp_path):
    np.savez(tmp_path / "p.npz", size=2, gain=np.ones((3, 1)))
    problem = load(tmp_path / "p.npz")
    assert (problem.renditions, len(problem.conflict), problem.variety_weight) == (3, 0, 0.0)


def test_a_failed_save_leaves_the_old_file_and_nothing_else(tmp_path, monkeypatch):
    path = tmp_path / "p.npz"
    save(small_problem(1), path)
    before = path.read_bytes()

    def full(*_, **__):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(BadInput, match=r"p\.npz: No space left on device; name a place"):
        save(small_problem(2), path)
    assert path.read_bytes() == before
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_that_does_not_exist_cannot_be_written_to(tmp_path):
    with pytest.raises(BadInput, match=r"cannot write .*No such file"):
        save(small_problem(1), tmp_path / "nowhere" / "p.npz")


def test_a_photograph_is_not_replaced_by_a_problem(tmp_path):
    path = tmp_path / "0001.jpg"
    path.write_bytes(b"\xff\xd8 an original")
    with pytest.raises(BadInput, match="exists already and is not overwritten"):
        save(small_problem(1), path)
    np.savez(tmp_path / "theirs.npz", size=3)
    with pytest.raises(BadInput, match="exists already and is not overwritten"):
        save(small_problem(1), tmp_path / "theirs.npz")
    assert path.read_bytes() == b"\xff\xd8 an original"


def arrays(path, **changes):
    np.savez(path, **{**small_arrays(4), **changes})


def objects(path):
    np.savez(path, gain=np.array([{}], dtype=object))


def one_array(path):
    with path.open("wb") as file:
        np.save(file, np.ones(3))


def cut_short(path):
    save(small_problem(4), path)
    path.write_bytes(path.read_bytes()[:-200])


def garbled(path):
    save(small_problem(4), path)
    content = bytearray(path.read_bytes())
    content[60:120] = bytes(60)
    path.write_bytes(content)


def headed(literal):
    """Return what writes a problem file of which one array says of itself what it should not (NEP 1, format 1.0)."""

    def write(path):
        with zipfile.ZipFile(path, "w") as archive:
            archive.writestr("gain.npy", b"\x93NUMPY\1\0" + len(literal).to_bytes(2, "little") + literal + bytes(64))

    return write


def patched(field, value):
    """Return what writes a problem file with one field of its first local and central header changed (APPNOTE 4.3)."""

    def write(path):
        save(small_problem(4), path)
        content = bytearray(path.read_bytes())
        for mark, at in (
            (b"PK\3\4", {"version": 4, "flags": 6, "method": 8}),
            (b"PK\1\2", {"version": 6, "flags": 8, "method": 10}),
        ):
            start = content.index(mark) + at[field]
            content[start : start + 2] = value.to_bytes(2, "little")
        path.write_bytes(content)

    return write


def bomb(path):
    """Zeros of five gigabytes, by what the headers say."""
    save(small_problem(4), path)
    content = bytearray(path.read_bytes())
    at = content.index(b"PK\1\2") + 24
    content[at : at + 4] = (2**32 - 2).to_bytes(4, "little")
    path.write_bytes(content)


@pytest.mark.parametrize(
    ("write", "error", "says"),
    [
        (lambda path: None, BadInput, "cannot read .*No such file or directory; name a problem file"),
        (lambda path: path.mkdir(), BadInput, "cannot read .*[Dd]irectory; name a problem file"),
        (lambda path: path.write_bytes(b""), BadInput, r"a damaged problem file|not a problem file"),
        (lambda path: path.write_text("size = 3\n"), BadInput, "not a problem file"),
        (patched("method", 99), BadInput, "damaged problem file"),
        (patched("version", 250), BadInput, "damaged problem file"),
        (patched("flags", 1), BadInput, "damaged problem file"),
        (headed(b"{'descr': '<f8', 'shape': (3, 1\n"), BadInput, "damaged problem file"),
        (headed(b"{'descr': '<f8',\n 'shape': (\n  3\n 1\n"), BadInput, "damaged problem file"),
        (headed(b"  {1}\n {2}\n3}\n"), BadInput, "not a problem file|damaged problem file"),
        (headed(b"{'descr': [3], 'fortran_order': False, 'shape': (3, 1)}\n"), BadInput, "problem file"),
        (headed(b"{'descr': '<f8', 'fortran_order': False, 'shape': (2**99,)}\n"), BadInput, "problem file"),
        (
            headed(b"{'descr': '<f8', 'fortran_order': False, 'shape': (" + b"9" * 90 + b",)}\n"),
            BadInput,
            "problem file",
        ),
        (headed(b"(" * 900 + b"\n"), BadInput, "problem file"),
        (bomb, BadInput, r"claims 4\.3 GB of arrays"),
        (objects, BadInput, "holds Python objects, which are not read"),
        (one_array, BadInput, "a single array and not a problem file"),
        (cut_short, BadInput, "a damaged problem file|not a problem file"),
        (garbled, BadInput, "damaged problem file|not a problem file"),
        (lambda path: np.savez(path, siez=3), BadProblem, r"p\.npz: 'siez' is not a key"),
        (lambda path: np.savez(path, size=3), BadProblem, r"p\.npz: gain is missing"),
        (lambda path: arrays(path, size=-1), BadProblem, r"p\.npz: size: -1; at least 1"),
        (lambda path: arrays(path, variety_kind="near"), BadProblem, "variety_kind: 'near'"),
        (lambda path: arrays(path, include=[0], exclude=[0]), BadProblem, "include: frame 0 is also in exclude"),
    ],
)
def test_a_bad_file_is_told_in_one_sentence(tmp_path, write, error, says):
    write(tmp_path / "p.npz")
    with pytest.raises(error, match=says) as told:
        load(tmp_path / "p.npz")
    assert "\n" not in str(told.value)
    assert told.value.exit_code == 2

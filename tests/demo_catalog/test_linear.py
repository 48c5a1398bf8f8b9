"""What must hold for two runs of the making to give the same renders, as far as it can be told without a renderer."""

import ast
import random
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from demo_catalog.make import batch
from demo_catalog.make.linear import checksum, differences, path_of, read_sums, stored_sums, sums_of, write_sums
from demo_catalog.make.shots import every_shot

MAKE = Path(batch.__file__).parent
NAMES = [shot.name for shot in every_shot()]


def settings_of_the_renderer():
    """Attribute name to the constants that render.py assigns to it, read without running it (it needs bpy)."""
    found = {}
    for node in ast.walk(ast.parse((MAKE / "render.py").read_text(encoding="utf-8"))):
        if not isinstance(node, ast.Assign):
            continue
        for target in node.targets:
            targets = target.elts if isinstance(target, ast.Tuple) else [target]
            values = node.value.elts if isinstance(node.value, ast.Tuple) else [node.value] * len(targets)
            for one, value in zip(targets, values, strict=True):
                if isinstance(one, ast.Attribute) and isinstance(value, ast.Constant):
                    found.setdefault(one.attr, []).append(value.value)
    return found


def test_the_renderer_keeps_nothing_between_shots_and_has_one_seed():
    settings = settings_of_the_renderer()
    assert settings["use_persistent_data"] == [False]
    assert settings["seed"] == [7]
    assert settings["use_animated_seed"] == [False]
    assert settings["use_adaptive_sampling"] == [False]


def test_no_script_draws_without_a_seed():
    """A default_rng() without a seed, or the random module, would make every run another one."""
    for script in MAKE.rglob("*.py"):
        for node in ast.walk(ast.parse(script.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and ast.unparse(node.func).endswith("default_rng"):
                assert node.args, f"{script.name}:{node.lineno}"
            if isinstance(node, ast.Import):
                assert "random" not in {name.name for name in node.names}, script.name


def test_the_list_of_shots_is_the_same_in_a_fresh_process_with_another_hash_seed():
    code = "from demo_catalog.make.shots import every_shot; print(every_shot())"
    printed = {
        subprocess.run(
            [sys.executable, "-c", code],
            cwd=MAKE.parents[1],
            env={"PYTHONHASHSEED": seed, "PATH": ""},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert printed == {f"{every_shot()}\n"}


@pytest.fixture
def renderer(monkeypatch):
    """In place of the process that renders a shot: one that writes pixels which hang on the name alone."""
    asked = []

    def run(command, **_):
        out, name = Path(command[4]), command[5]
        asked.append(name)
        rng = np.random.default_rng(list(name.encode()))
        np.save(path_of(out, name), rng.random((4, 6, 3)).astype(np.float16))

    monkeypatch.setattr(batch.subprocess, "run", run)
    return asked


def test_every_shot_is_rendered_by_a_process_of_its_own_and_none_twice(renderer, tmp_path):
    batch.render_missing(NAMES[:3], tmp_path)
    batch.render_missing(NAMES[:5], tmp_path)
    assert renderer == NAMES[:5]


def test_order_and_stops_do_not_show_in_the_checksums(renderer, tmp_path):
    mixed = random.Random(3).sample(NAMES, len(NAMES))
    batch.render_missing(NAMES, tmp_path / "one")
    batch.render_missing(mixed[:20], tmp_path / "two")
    batch.render_missing(mixed[::-1], tmp_path / "two")
    assert len(renderer) == 2 * len(NAMES)
    one, two = (sums_of(tmp_path / run, NAMES) for run in ("one", "two"))
    assert write_sums(one) == write_sums(two)
    assert differences(one, two) == [f"{len(NAMES)} equal, 0 differ, 0 in one run only"]


def test_one_changed_pixel_is_seen(tmp_path):
    pixels = np.linspace(0, 1, 72).reshape(4, 6, 3).astype(np.float16)
    np.save(path_of(tmp_path, "a"), pixels)
    before = checksum(path_of(tmp_path, "a"))
    pixels[3, 5, 2] = np.nextafter(pixels[3, 5, 2], np.float16(2))
    np.save(path_of(tmp_path, "a"), pixels)
    assert checksum(path_of(tmp_path, "a")) != before


def test_a_checksum_is_of_the_pixels_as_little_endian_halves(tmp_path):
    """Memory order must not count. SHA-256 of no bytes: NIST CAVP, SHA256ShortMsg, Len = 0 (from memory)."""
    np.save(path_of(tmp_path, "none"), np.empty((0, 0, 3), np.float16))
    assert checksum(path_of(tmp_path, "none")).startswith("e3b0c44298fc1c149afbf4c8996fb924")
    pixels = np.arange(24, dtype=np.float16).reshape(2, 4, 3)
    for name, stored in (("c", pixels), ("f", np.asfortranarray(pixels)), ("big", pixels.astype(">f2"))):
        np.save(path_of(tmp_path, name), stored)
    assert len({checksum(path_of(tmp_path, name)) for name in ("c", "f", "big")}) == 1


def test_differences_name_the_shot():
    lines = differences({"a": "1", "b": "2", "c": "3"}, {"a": "1", "b": "4", "d": "5"})
    assert lines == [
        "b: the pixels differ",
        "c: in one run only",
        "d: in one run only",
        "1 equal, 1 differ, 2 in one run only",
    ]


@given(st.dictionaries(st.from_regex(r"[a-z]{2}-[a-z0-9]{1,4}", fullmatch=True), st.binary(min_size=32, max_size=32)))
def test_a_written_list_is_read_again(found):
    sums = {name: value.hex() for name, value in found.items()}
    assert read_sums("# words\n\n" + write_sums(sums)) == sums


@pytest.mark.parametrize("bad", ["abc  ya-w1", "0" * 64, f"{'0' * 63}g  ya-w1", f"{'0' * 64}  a\n{'0' * 64}  a"])
def test_a_bad_line_is_named(bad):
    with pytest.raises(ValueError, match=r"line \d is not"):
        read_sums(bad)


@pytest.mark.parametrize("small", [False, True])
def test_every_shot_has_its_stored_checksum_and_no_other(small):
    stored = read_sums(stored_sums(small=small))
    assert sorted(stored) == sorted(NAMES)
    assert len(set(stored.values())) == len(NAMES)

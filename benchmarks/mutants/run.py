"""One mutant in a copy of the project: its tests in a child process that is forked with the heavy libraries loaded."""

from __future__ import annotations

import os
import resource
import shutil
import signal
import sys
import time
import traceback
from contextlib import suppress
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

import steady

__all__ = ["CLOCK", "KILLED", "LATE", "SURVIVED", "Bench"]

KILLED, SURVIVED, LATE, CLOCK = "killed", "survived", "killed by time", "stopped by the clock"
"""LATE : it used up its processor seconds. CLOCK : it did not, and went on too long all the same: it waits for ever, or
other work keeps the processors; nobody can tell which, so it counts for nothing and is tried again.
"""
_HEAVY = (
    "PIL.Image", "click", "cv2", "hypothesis", "jinja2", "joblib.externals.loky", "jsonschema", "lxml.etree", "numba",
    "numpy", "onnxruntime", "pi_heif", "pydantic", "pytest", "rawpy", "reportlab.pdfgen.canvas", "rich.console",
    "scipy.optimize", "scipy.spatial", "skimage", "xxhash",
)  # fmt: skip
_PATIENCE = 10.0
"""Times its processor seconds that a mutant may take by the clock, which counts what other work takes."""
_KERNELS = "setsolver/solver"
_KERNEL_TESTS = [f"tests/solver/test_{name}.py" for name in ("explore", "ready")]
"""Tests that need every kernel of the package."""
_COMPILING = 300.0
"""Processor seconds that these may take."""
_QUIET = "ignore::pytest.PytestAssertRewriteWarning"
"""Pytest warns of plugins that were loaded before it."""
_FAILED, _INTERRUPTED, _USAGE, _NONE = 1, 2, 4, 5
"""Exit codes of pytest: tests failed; a module of tests could not even be read; a test by name was not found,
as where its module could not be read; no test was to be run."""


class Bench:
    """A copy of the project in which mutants are put one at a time; the project itself is never touched."""

    def __init__(self, project: Path, copy: Path, took: dict[str, float]) -> None:
        """Make the copy. took : seconds of each test, by which they are ordered."""
        self.copy = copy
        steady.TOOK.update(took)
        self._sound: set[Path] = set()
        if copy.exists():
            shutil.rmtree(copy)
        ignored = shutil.ignore_patterns(".git", "__pycache__", ".venv", ".mypy_cache", ".ruff_cache", ".hypothesis")
        shutil.copytree(project, copy, ignore=ignored)
        os.environ.update(PYTHONPATH=str(copy), PYTHONDONTWRITEBYTECODE="1", OMP_NUM_THREADS="1")
        for name in _HEAVY:
            __import__(name)

    def tried(self, file: str, text: str, tests: list[str], seconds: float) -> tuple[str, str, float]:
        """Return how a mutant of ``file`` fares, what killed it, and how long that took.

        seconds : of a processor that its tests may take.
        """
        if not self._sound and file.startswith(_KERNELS):
            self._compile()
        place = self.copy / file
        sound = place.read_text(encoding="utf-8")
        place.write_text(text, encoding="utf-8")
        start = time.monotonic()
        try:
            code, says = self._run(tests, seconds)
        finally:
            place.write_text(sound, encoding="utf-8")
            self._sweep()
        took = time.monotonic() - start
        if code is None:
            return CLOCK, "", took
        if code == -signal.SIGXCPU:
            return LATE, "", took
        if code in {_FAILED, _INTERRUPTED} or code < 0 or (code == _USAGE and "\nERROR tests/" in says):
            failed = next((line for line in says.splitlines() if line.startswith(("FAILED", "ERROR"))), f"exit {code}")
            return KILLED, failed.split(" - ")[0].removeprefix("FAILED ").removeprefix("ERROR "), took
        if code not in {0, _NONE}:
            raise RuntimeError(f"pytest ends with {code} over {tests}: {says[-2000:]}")
        return SURVIVED, "", took

    def _run(self, tests: list[str], seconds: float) -> tuple[int | None, str]:
        log = self.copy.with_suffix(".log")
        child = os.fork()
        if child == 0:
            resource.setrlimit(resource.RLIMIT_CPU, (int(seconds) + 1, int(seconds) + 30))
            _be_pytest(self.copy, tests, log)
        until = time.monotonic() + _PATIENCE * seconds
        while True:
            done, status = os.waitpid(child, os.WNOHANG)
            if done:
                return os.waitstatus_to_exitcode(status), log.read_text(errors="replace")
            if time.monotonic() > until:
                with suppress(ProcessLookupError):
                    os.killpg(child, signal.SIGKILL)
                os.waitpid(child, 0)
                return None, ""
            time.sleep(0.02)

    def _compile(self) -> None:
        """Compile the kernels of the sound code, once for all mutants whose file holds none.

        A mutant of a file of kernels has them all compiled anew: most are part of the one large kernel anyway.
        """
        code, says = self._run(_KERNEL_TESTS, _COMPILING)
        if code != 0:
            raise RuntimeError(f"the sound code does not pass {_KERNEL_TESTS}: {says[-2000:]}")
        self._sound = {*self._kernels()}

    def _kernels(self) -> list[Path]:
        return [*(self.copy / _KERNELS / "__pycache__").glob("setsolver-kernels-*")]

    def _sweep(self) -> None:
        """Take away compiled kernels of the solver's mutants; those of the sound code stay."""
        for path in {*self._kernels()} - self._sound if self._sound else ():
            shutil.rmtree(path, ignore_errors=True)


def _be_pytest(copy: Path, tests: list[str], log: Path) -> None:
    """Run tests in this process, which ends with them."""
    os.setpgid(0, 0)
    signal.signal(signal.SIGINT, signal.default_int_handler)  # shells start background jobs without it
    os.chdir(copy)
    out = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    os.dup2(out, 1)
    os.dup2(out, 2)
    sys.path.insert(0, str(copy))
    sys.dont_write_bytecode = True
    code = 70
    try:
        import pytest  # noqa: PLC0415 - loaded already

        base = f"--basetemp={copy.with_suffix('.tmp')}"
        words = [
            "-x",
            "-q",
            "-rfE",
            "--tb=no",
            "-p",
            "no:cacheprovider",
            "-p",
            "no:xdist",
            "-p",
            "steady",
            "-W",
            _QUIET,
            base,
        ]
        code = int(pytest.main([*words, *tests]))
    except BaseException:  # noqa: BLE001 - said, and the process ends
        traceback.print_exc()
        sys.stderr.flush()
    finally:
        os._exit(code)

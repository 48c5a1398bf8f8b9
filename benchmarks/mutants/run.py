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
_QUIET = "ignore::pytest.PytestAssertRewriteWarning"
"""Pytest warns of plugins that were loaded before it."""
_FAILED, _INTERRUPTED, _USAGE, _NONE = 1, 2, 4, 5
"""Exit codes of pytest: tests failed; a module of tests could not even be read; a test by name was not found,
as where its module could not be read; no test was to be run."""


class Bench:
    """A copy of the project in which mutants are put one at a time; the project itself is never touched."""

    def __init__(self, project: Path, copy: Path) -> None:
        self.copy = copy
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

    def _sweep(self) -> None:
        """Take away compiled kernels of mutants; those of the sound code stay."""
        folder = self.copy / "setsolver" / "solver" / "__pycache__"
        kept = (
            sorted(folder.glob("setsolver-kernels-*"), key=lambda path: path.stat().st_mtime) if folder.exists() else []
        )
        for path in kept[1:]:
            shutil.rmtree(path, ignore_errors=True)


def _be_pytest(copy: Path, tests: list[str], log: Path) -> None:
    """Run tests in this process, which ends with them."""
    os.setpgid(0, 0)
    signal.signal(signal.SIGINT, signal.default_int_handler)  # shells start background jobs without it
    os.chdir(copy)
    out = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    os.dup2(out, 1)
    os.dup2(out, 2)
    sys.path[:0] = [str(copy), str(Path(__file__).parent)]
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

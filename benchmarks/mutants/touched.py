"""A pytest plugin: which lines of the package each test runs, and how long each test takes.

``python -m pytest -p touched -n 2 --touched FOLDER`` leaves a coverage file and a file of durations a process; ``read``
puts them together. Lines of compiled kernels are not seen: no tracer looks into machine code.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import coverage
import pytest

__all__ = ["read"]


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--touched", help="folder for what was touched")


def pytest_configure(config: pytest.Config) -> None:
    folder = config.getoption("--touched", None)
    if folder and (hasattr(config, "workerinput") or not config.getoption("numprocesses", None)):
        config.pluginmanager.register(_Tracer(Path(folder), config.rootpath))


class _Tracer:
    def __init__(self, folder: Path, root: Path) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self.durations: dict[str, float] = {}
        self.failed: set[str] = set()
        self.kept = folder / f"durations.{os.getpid()}.json"
        data = str(folder / f"lines.{os.getpid()}")
        self.coverage = coverage.Coverage(data_file=data, source=[str(root / "setsolver")], config_file=False)
        self.coverage.start()

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_logstart(self, nodeid: str) -> None:
        self.coverage.switch_context(nodeid)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.durations[report.nodeid] = self.durations.get(report.nodeid, 0.0) + report.duration
        if report.failed:
            self.failed.add(report.nodeid)

    def pytest_sessionfinish(self) -> None:
        self.coverage.stop()
        self.coverage.save()
        sound = {test: took for test, took in self.durations.items() if test not in self.failed}
        self.kept.write_text(json.dumps(sound))


def read(folder: Path) -> tuple[dict[str, dict[int, set[str]]], dict[str, float]]:
    """Return the sound tests (all cases of each as one) that touch each line of each file, and their seconds."""
    durations: dict[str, float] = {}
    for file in folder.glob("durations.*.json"):
        for test, took in json.loads(file.read_text()).items():
            durations[plain(test)] = durations.get(plain(test), 0.0) + took
    lines: dict[str, dict[int, set[str]]] = {}
    for file in folder.glob("lines.*"):
        data = coverage.CoverageData(str(file))
        data.read()
        for source in data.measured_files():
            name = source[source.replace(os.sep, "/").rindex("/setsolver/") + 1 :]
            _add(lines.setdefault(name, {}), data, source, durations)
    return lines, durations


def plain(test: str) -> str:
    """Return a test without its parameters, which change more often than its name."""
    return test.partition("[")[0]


def _add(lines: dict[int, set[str]], data: Any, source: str, durations: dict[str, float]) -> None:
    for line, contexts in data.contexts_by_lineno(source).items():
        lines.setdefault(line, set()).update(plain(test) for test in contexts if plain(test) in durations)

"""Would tests notice? Small plausible bugs by seed, each put into a copy of the project, and the tests of its line.

``python benchmarks/mutants/mutants.py map KEPT`` learns once which tests touch which lines;
``... run KEPT --count 20`` tries 20 mutants a folder, going on where an earlier run was stopped;
``... table KEPT`` prints the table by folder, and ``... survivors KEPT`` what no test noticed.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import subprocess
import sys
from collections import Counter, defaultdict
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from change import Change, changes, mutated
from nearest import tests_of
from readers import readers_of
from run import CLOCK, KILLED, LATE, SURVIVED, Bench

PROJECT = Path(__file__).resolve().parents[2]
BARS = dict.fromkeys(("domain", "rules", "crops", "solver", "features"), 0.9)
BAR = 0.8
WORDS = {
    "words.py",
    "wording.py",
    "brief_words.py",
    "board_words.py",
    "said.py",
    "solve_said.py",
    "schemas.py",
    "grades.py",
    "catalogs.py",
    "engine.py",
    "batches.py",
    "understood.py",
}
"""Files of sentences only, and of documents' shapes: no mutants there."""
APART = ("tests/benchmarks", "tests/docs", "tests/demo_catalog", "tests/output/test_browser.py")
SIGNALS = "tests/solver/test_cpsat.py"
"""Tests that a busy machine fails now and then, as they send signals: over mutants of the file of that name alone."""
_FILE = 30.0
"""Seconds that a whole file of tests is thought to take."""
_LEAST, _TIMES = 30.0, 1.0
"""A mutant is given that many processor seconds, and so many times what its tests took by the clock."""


@dataclass(frozen=True)
class Mutant:
    """file : from the project's folder. line : its text, by which an equivalent is known when lines move."""

    file: str
    change: Change
    line: str

    @property
    def folder(self) -> str:
        """The folder of the package, "." for its own files."""
        parts = Path(self.file).parts
        return parts[1] if len(parts) > 2 else "."

    @property
    def name(self) -> str:
        """What it is known by in results."""
        what = f"{self.file} {self.change} {self.line}"
        return hashlib.sha256(what.encode()).hexdigest()[:12]


def sampled(folder: str, count: int, seed: int, project: Path = PROJECT) -> list[Mutant]:
    """Return up to ``count`` mutants of a folder, at most one a line, in an order that grows with ``count``."""
    found: list[Mutant] = []
    pattern = "*.py" if folder == "." else f"{folder}/**/*.py"
    for path in sorted((project / "setsolver").glob(pattern)):
        if path.name in WORDS:
            continue
        text = path.read_text(encoding="utf-8")
        lines = text.splitlines()
        file = path.relative_to(project).as_posix()
        found += [Mutant(file, change, lines[change.line - 1].strip()) for change in changes(text)]
    found.sort(key=lambda one: hashlib.sha256(f"{seed} {one.name}".encode()).digest())
    taken, lines_taken = [], set()
    for one in found:
        if (one.file, one.change.line) not in lines_taken:
            lines_taken.add((one.file, one.change.line))
            taken.append(one)
    return taken[:count]


def _named(project: Path, mutant: Mutant) -> list[Path]:
    """Return the files of tests that carry the name of the mutant's file."""
    folder = project / "tests" / Path(*Path(mutant.file).parts[1:-1])
    return sorted(folder.glob(f"test_{Path(mutant.file).stem}.py"))


@cache
def _is_there(project: Path, test: str) -> bool:
    """Tell whether a test of the map is still there under its name."""
    file, _, name = test.partition("::")
    return (project / file).exists() and f"def {name.rpartition('::')[2]}(" in (project / file).read_text("utf-8")


def _map(kept: Path) -> None:
    """Run the suite once under a tracer."""
    words = [sys.executable, "-m", "pytest", "-q", "-n", "2", "-p", "touched", "--touched", str(kept / "map"), "tests"]
    path = f"{PROJECT}:{Path(__file__).parent}"
    ignored = [f"--ignore={part}" for part in APART]
    subprocess.run([*words, *ignored], cwd=PROJECT, check=False, env={**os.environ, "PYTHONPATH": path})


def _results(kept: Path) -> dict[str, dict[str, object]]:
    found: dict[str, dict[str, object]] = {}
    for file in sorted(kept.glob("results*.jsonl")):
        for line in file.read_text(encoding="utf-8").splitlines():
            row = json.loads(line)
            found[row["name"]] = row
    return found


def _equivalent(row: dict[str, object]) -> bool:
    return any(
        one["file"] == row["file"] and one["text"] == row["text"] and one["new"] in {row["new"], "*"}
        for one in json.loads((Path(__file__).parent / "equivalent.json").read_text(encoding="utf-8"))
    )


def _run(kept: Path, given: argparse.Namespace) -> None:
    from touched import read  # noqa: PLC0415 - needs coverage, which the table does not

    lines, took = read(kept / "map")
    bench = Bench(PROJECT, kept / f"copy{given.part}", took)
    with (kept / f"results{given.part}.jsonl").open("a", encoding="utf-8") as out:
        for folder in given.folders:
            for number, mutant in enumerate(sampled(folder, given.count, given.seed)):
                known = _results(kept).get(mutant.name)
                again = known is None or known["became"] == CLOCK
                again = again or (given.again and known["became"] == SURVIVED and not _equivalent(known))
                if number % given.parts != given.part % given.parts or not again:
                    continue
                row = _tried(bench, mutant, lines, took, given.tests, readers=given.readers)
                out.write(json.dumps(row) + "\n")
                out.flush()
                print(row["became"], f"{mutant.file}:{mutant.change.line}", mutant.change.new, row["by"], flush=True)


def _tried(
    bench: Bench,
    mutant: Mutant,
    lines: dict[str, dict[int, set[str]]],
    took: dict[str, float],
    first: list[str],
    text: str = "",
    *,
    readers: bool = False,
) -> dict[str, object]:
    text = text or mutated((bench.copy / mutant.file).read_text(encoding="utf-8"), mutant.change)
    became, by, seconds, tried = SURVIVED, "", 0.0, 0
    named = [path.relative_to(bench.copy).as_posix() for path in _named(bench.copy, mutant)]
    there = {test: seconds for test, seconds in took.items() if _is_there(bench.copy, test)}
    if SIGNALS not in named:
        there = {test: seconds for test, seconds in there.items() if not test.startswith(SIGNALS)}
    places = range(mutant.change.line, mutant.change.end_line + 1)
    touched = {test for line in places for test in lines.get(mutant.file, {}).get(line, ()) if test in there}
    mirrored = "tests/" if mutant.folder == "." else f"tests/{mutant.folder}/"
    rounds = [["-m", "not slow", *first, *named], *tests_of(mirrored, touched, there)]
    rounds = rounds[0 if first or named else 1 :]
    if readers:
        files = readers_of(bench.copy, mutant.file, APART)
        rounds += [
            ["-m", "not slow", *(one for one in part if one not in named)] for part in files if {*part} - {*named}
        ]
    for tests in rounds:
        limit = _LEAST + _TIMES * sum(took.get(test, _FILE if test.endswith(".py") else 5.0) for test in tests)
        became, by, more = bench.tried(mutant.file, text, tests, limit)
        seconds, tried = seconds + more, tried + len(tests)
        if became != SURVIVED:
            break
    return {
        "name": mutant.name,
        "folder": mutant.folder,
        "file": mutant.file,
        **asdict(mutant.change),
        "at": mutant.change.line,
        "text": mutant.line,
        "became": became,
        "by": by,
        "tried": tried,
        "seconds": round(seconds, 1),
    }


def _known(kept: Path, given: argparse.Namespace) -> None:
    """Try the bugs that tests once let pass, each put in as text."""
    from touched import read  # noqa: PLC0415 - as above

    lines, took = read(kept / "map")
    bench = Bench(PROJECT, kept / f"copy{given.part}", took)
    for one in json.loads((Path(__file__).parent / "known.json").read_text(encoding="utf-8")):
        text = (bench.copy / one["file"]).read_text(encoding="utf-8")
        if text.count(one["old"]) != 1:
            raise SystemExit(f"{one['file']} does not hold {one['old']!r} once; bring known.json up to date")
        line = text[: text.index(one["old"])].count("\n") + 1
        mutant = Mutant(one["file"], Change(line, 0, line, 0, "known", one["new"]), one["old"])
        row = _tried(bench, mutant, lines, took, given.tests, text.replace(one["old"], one["new"]))
        print(row["became"], one["what"], row["by"], f"({row['tried']} tests)", flush=True)


def _sample(kept: Path, given: argparse.Namespace) -> list[dict[str, object]]:
    """Return what became of the mutants of the sample that is asked for, those that were tried."""
    names = {one.name for folder in given.folders for one in sampled(folder, given.count, given.seed)}
    return [row for name, row in _results(kept).items() if name in names]


def _table(rows: list[dict[str, object]]) -> None:
    print("| folder | mutants | killed | by time | equivalent | stopped | survived | share | bar |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- | --- |")
    by_folder: dict[str, Counter[str]] = defaultdict(Counter)
    for row in rows:
        became = str(row["became"])
        by_folder[str(row["folder"])]["equivalent" if became == SURVIVED and _equivalent(row) else became] += 1
    for folder, counts in sorted(by_folder.items()):
        can = counts.total() - counts["equivalent"] - counts[CLOCK]
        killed = counts[KILLED] + counts[LATE]
        kinds = (KILLED, LATE, "equivalent", CLOCK, SURVIVED)
        cells = (counts.total(), *(counts[kind] for kind in kinds))
        share = f"{killed / can:.0%}" if can else "none"
        print(f"| {folder} | {' | '.join(map(str, cells))} | {share} | {BARS.get(folder, BAR):.0%} |")


def _survivors(rows: list[dict[str, object]]) -> None:
    for row in rows:
        if row["became"] == SURVIVED and not _equivalent(row):
            print(
                f"{row['file']}:{row['at']} {row['kind']}\n    {row['text']}\n    {row['new']}   ({row['tried']} tests)"
            )


def main() -> None:
    """Do what is asked for."""
    asked = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    asked.add_argument("what", choices=("map", "run", "known", "table", "survivors"))
    asked.add_argument("kept", type=Path, help="folder for the map, the copy and the results")
    asked.add_argument(
        "--folders",
        nargs="*",
        default=sorted(path.name for path in (PROJECT / "setsolver").iterdir() if (path / "__init__.py").exists()),
    )
    asked.add_argument("--count", type=int, default=20, help="mutants a folder")
    asked.add_argument("--seed", type=int, default=0)
    asked.add_argument("--part", type=int, default=0, help="which of several runs at once this is")
    asked.add_argument("--parts", type=int, default=1, help="how many runs there are at once")
    asked.add_argument("--again", action="store_true", help="try survivors again, after tests were written")
    asked.add_argument("--tests", nargs="*", default=[], help="files of tests to try first")
    asked.add_argument("--readers", action="store_true", help="try whole files of tests that import the module, too")
    given = asked.parse_args()
    given.kept.mkdir(parents=True, exist_ok=True)
    match given.what:
        case "map":
            _map(given.kept)
        case "run":
            _run(given.kept, given)
        case "known":
            _known(given.kept, given)
        case "table":
            _table(_sample(given.kept, given))
        case _:
            _survivors(_sample(given.kept, given))


if __name__ == "__main__":
    main()

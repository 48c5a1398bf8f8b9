"""What a first use waits for: compiling the engine on a fresh cache, on one core.

usage: python benchmarks/first_use.py [--runs R]

Copies the package without its caches to a new folder R times and asks there for the kernels of the search, then for
those of the clash. Prints wall and processor seconds of each; on a machine with other work the latter are the better
measure. The second line of a run is the same again, with the code read from disk.
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import setsolver

ASK = """
import time
wall, cpu = time.perf_counter(), time.process_time()
from setsolver.solver import ready
print(f"import {time.perf_counter() - wall:.2f} s ({time.process_time() - cpu:.2f} s of a core)", end="")
for part in ("search", "clash"):
    cpu = time.process_time()
    print(f", {part} {ready.make_ready(part):.2f} s ({time.process_time() - cpu:.2f})", end="")
print()
"""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--runs", type=int, default=1)
    for _ in range(parser.parse_args().runs):
        with tempfile.TemporaryDirectory() as folder:
            shutil.copytree(
                Path(setsolver.__file__).parent,
                Path(folder) / "setsolver",
                ignore=shutil.ignore_patterns("__pycache__", "*.onnx"),
            )
            for _again in range(2):
                subprocess.run([sys.executable, "-c", ASK], cwd=folder, env={"PYTHONPATH": folder}, check=True)


if __name__ == "__main__":
    main()

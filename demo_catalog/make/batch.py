"""Render the shots, each in a process of its own, resumable; in any order."""

import subprocess
import sys
import time
from collections.abc import Iterable
from pathlib import Path

from demo_catalog.make.linear import path_of


def render_missing(names: Iterable[str], out: Path, *, small: bool = False) -> None:
    """Render every shot of these names that the folder `out` does not hold yet; `small` as in `linear`."""
    out.mkdir(parents=True, exist_ok=True)
    for name in names:
        if path_of(out, name).exists():
            continue
        start = time.monotonic()
        command = [sys.executable, "-m", "demo_catalog.make", "shot", str(out), name, *(["--small"] if small else [])]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)  # noqa: S603 - our own command and shot names
        print(f"{name} {time.monotonic() - start:.1f} s", flush=True)

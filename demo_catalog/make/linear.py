"""The linear renders: where they lie, their checksums, and whether two folders hold the same."""

import hashlib
from collections.abc import Iterable
from pathlib import Path

import numpy as np

SMALL = 4  # small renders, for checking, have this part of the width and height
STORED = {False: Path(__file__).with_name("renders.sha256"), True: Path(__file__).with_name("small.sha256")}


def path_of(folder: Path, name: str) -> Path:
    """File of a shot's render."""
    return folder / f"{name}.npy"


def checksum(render: Path) -> str:
    """SHA-256 of the pixels, rows of little-endian half floats; the file's header does not count."""
    values = np.load(render).astype("<f2")
    return hashlib.sha256(np.ascontiguousarray(values).tobytes()).hexdigest()


def stored_sums(*, small: bool) -> str:
    """The list that comes with the scripts: of the full renders, or of the small ones."""
    return STORED[small].read_text(encoding="utf-8")


def read_sums(text: str) -> dict[str, str]:
    """Checksums by shot from lines of `SUM  NAME`; lines that begin with # are words.

    Raises ValueError with the number of a line that is not of this form or repeats a name.
    """
    sums: dict[str, str] = {}
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip() or line.startswith("#"):
            continue
        parts = line.split()
        right = len(parts) == 2 and len(parts[0]) == 64 and not set(parts[0]) - set("0123456789abcdef")
        if not right or parts[1] in sums:
            message = f"line {number} is not `SHA-256  SHOT` with a shot that is new: {line!r}"
            raise ValueError(message)
        sums[parts[1]] = parts[0]
    return sums


def write_sums(sums: dict[str, str]) -> str:
    """A checksum list, sorted by shot so that the order of rendering cannot show."""
    return "".join(f"{sums[name]}  {name}\n" for name in sorted(sums))


def sums_of(folder: Path, names: Iterable[str]) -> dict[str, str]:
    """Checksums of those shots of `names` that the folder holds."""
    return {name: checksum(path_of(folder, name)) for name in names if path_of(folder, name).exists()}


def differences(one: dict[str, str], two: dict[str, str]) -> list[str]:
    """What two runs do not share, a line a shot, with a line of counts at the end."""
    common = sorted(set(one) & set(two))
    differ = [f"{name}: the pixels differ" for name in common if one[name] != two[name]]
    alone = [f"{name}: in one run only" for name in sorted(set(one) ^ set(two))]
    return [*differ, *alone, f"{len(common) - len(differ)} equal, {len(differ)} differ, {len(alone)} in one run only"]

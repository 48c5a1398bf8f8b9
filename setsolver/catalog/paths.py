r"""File names as valid text: how a path of any bytes becomes a string that JSON, HTML and SQLite can carry, and back.

A path in the catalog is relative to its folder, with forward slashes. Bytes that are not UTF-8 are written ``\xNN``
(lower-case hexadecimal). So that the way back is unique, a backslash that would read as such an escape is itself
written ``\x5c``. Every other name stays as it is.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

__all__ = ["to_file", "to_text"]

_ESCAPE = re.compile(r"\\x([0-9a-f]{2})")
_LOOKS_ESCAPED = re.compile(r"\\(?=x[0-9a-f]{2})")


def to_text(name: str) -> str:
    r"""Return a relative path as text that is valid UTF-8; ``name`` may hold surrogate escapes (PEP 383)."""
    name = _LOOKS_ESCAPED.sub(r"\\x5c", name.replace(os.sep, "/"))
    return "".join(_escaped(letter) for letter in name) if not name.isascii() else name


def to_file(folder: Path, text: str) -> Path:
    """Return the file that a path in the catalog stands for."""
    if "\\x" not in text:
        return folder / text
    parts: list[bytes] = []
    end = 0
    for match in _ESCAPE.finditer(text):
        parts += [text[end : match.start()].encode(), bytes.fromhex(match[1])]
        end = match.end()
    return folder / os.fsdecode(b"".join([*parts, text[end:].encode()]))


def _escaped(letter: str) -> str:
    """Return a lone surrogate as the byte it hides; other letters as they are."""
    code = ord(letter)
    return f"\\x{code - 0xDC00:02x}" if 0xDC80 <= code <= 0xDCFF else letter

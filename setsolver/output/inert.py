"""Names and texts of others, so that nothing in them steers what is drawn after them."""

from __future__ import annotations

import unicodedata

__all__ = ["inert", "name_of"]

_HIDDEN = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
"""Unicode categories that draw nothing, or steer what is drawn after them."""


def inert(text: str) -> str:
    r"""Return text with control, steering and undecodable characters as visible escapes.

    Bytes of names that are no UTF-8 reach Python as lone surrogates; they come out as ``\xff``.
    """
    if text.isprintable():
        return text
    return "".join(_escaped(c) if unicodedata.category(c) in _HIDDEN else c for c in text)


def _escaped(character: str) -> str:
    code = ord(character)
    if 0xDC80 <= code <= 0xDCFF:  # PEP 383: byte 0xNN was smuggled in as U+DCNN
        return f"\\x{code - 0xDC00:02x}"
    return ascii(character)[1:-1]


def name_of(path: str) -> str:
    """Return the file's own name, inert."""
    return inert(path.rpartition("/")[2] or path)

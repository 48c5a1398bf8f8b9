"""Damage to bytes, by seed: what disks, cards, cables and hostile hands do to files."""

from __future__ import annotations

import random
import re

__all__ = ["mutated"]

_ODD = (0, 1, 0x7F, 0x80, 0xFE, 0xFF)
_WORDS = (b"NaN", b"-1", b"1e999", b"9" * 400, b"null", b"{}", b"[[[[", b"\x1b[2J", b"\xff\xfe", b"../../", b'"', b"\0")
_NUMBER = re.compile(rb"-?\d+(\.\d+)?")


def mutated(content: bytes, chance: random.Random) -> bytes:
    """Return a copy damaged in one of the ways below, or in several one after the other."""
    damaged = bytearray(content)
    for _ in range(chance.choice((1, 1, 1, 2, 4))):
        chance.choice(_WAYS)(damaged, chance)
    return bytes(damaged)


def _flip(data: bytearray, chance: random.Random) -> None:
    for _ in range(chance.randint(1, 8) if data else 0):
        data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)


def _odd_bytes(data: bytearray, chance: random.Random) -> None:
    for _ in range(chance.randint(1, 4) if data else 0):
        data[chance.randrange(len(data))] = chance.choice(_ODD)


def _head(data: bytearray, chance: random.Random) -> None:
    """Damage where headers are: sizes, counts, offsets."""
    for _ in range(chance.randint(1, 4) if data else 0):
        data[chance.randrange(min(len(data), 600))] = chance.choice(_ODD)


def _cut(data: bytearray, chance: random.Random) -> None:
    del data[chance.randrange(len(data) + 1) :]


def _hole(data: bytearray, chance: random.Random) -> None:
    start = chance.randrange(len(data) + 1)
    end = min(len(data), start + chance.choice((1, 16, 512, 4096)))
    data[start:end] = bytes(end - start)


def _lose(data: bytearray, chance: random.Random) -> None:
    start = chance.randrange(len(data) + 1)
    del data[start : start + chance.choice((1, 2, 64, 512))]


def _repeat(data: bytearray, chance: random.Random) -> None:
    start = chance.randrange(len(data) + 1)
    data[start:start] = data[start : start + chance.choice((1, 64, 1024))] * chance.choice((1, 2, 50))


def _insert(data: bytearray, chance: random.Random) -> None:
    at = chance.randrange(len(data) + 1)
    data[at:at] = chance.choice(_WORDS) if chance.random() < 0.5 else chance.randbytes(chance.randint(1, 64))


def _number(data: bytearray, chance: random.Random) -> None:
    """Put another number, or what is none, for a number in a text."""
    found = list(_NUMBER.finditer(data))
    if found:
        one = chance.choice(found)
        data[one.start() : one.end()] = chance.choice((b"0", b"-1", b"1e-320", b"1e308", b"99999999999", *_WORDS))


_WAYS = (_flip, _odd_bytes, _head, _cut, _hole, _lose, _repeat, _insert, _number)

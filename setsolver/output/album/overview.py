"""A sheet that shows the whole book: every spread small, in order, with what it scores, and the ledger of the book."""

from __future__ import annotations

from typing import Final

from setsolver.domain.album import Album, AlbumSpread
from setsolver.domain.plan import Placed
from setsolver.output.album.sheets import CM, Picture, Rule, Sheet, Words
from setsolver.output.album.typeface import Weight, wrapped

__all__ = ["overview_sheets"]

WIDE: Final = 29.7
HIGH: Final = 21.0
"""A4 on its side (ISO 216)."""
MARGIN: Final = 1.3
COLUMNS: Final = 4
GAP: Final = 0.7
LABEL: Final = 0.85
SMALL: Final = 7.0


def overview_sheets(album: Album, title: str) -> tuple[Sheet, ...]:
    """Return A4 sheets: thumbnails of all spreads, then the ledger with what else could stand in each place."""
    cell = (WIDE - 2 * MARGIN - (COLUMNS - 1) * GAP) / COLUMNS
    scale = cell / (2 * album.page.width_cm)
    high = album.page.height_cm * scale
    rows = max(1, int((HIGH - 2 * MARGIN - 1.2) / (high + LABEL + 0.25)))
    on_one = rows * COLUMNS
    parts = [album.spreads[at : at + on_one] for at in range(0, len(album.spreads), on_one)]
    head = _headline(album)
    return (*(_thumbs(part, title, head, cell, scale, high) for part in parts), *_ledger(album, title))


def _headline(album: Album) -> str:
    pictures = sum(len(spread.frames) for spread in album.spreads)
    score = "" if album.score is None else f", {album.score:.1f} points"
    proof = "proven best" if album.status == "proven" else ""
    if album.status == "open" and album.gap is not None:
        proof = f"at most {album.gap:.1f} points better might exist"
    return f"{len(album.spreads)} spreads, {pictures} pictures{score}{', ' if proof else ''}{proof}"


def _thumbs(spreads: tuple[AlbumSpread, ...], title: str, head: str, cell: float, scale: float, high: float) -> Sheet:
    pictures, words, rules = [], _head(title, head), []
    for place, spread in enumerate(spreads):
        x = MARGIN + place % COLUMNS * (cell + GAP)
        y = MARGIN + 1.2 + place // COLUMNS * (high + LABEL + 0.25)
        for number, frame in enumerate(spread.frames):
            at_scale = _trimmed(frame.place, x, y, scale)
            pictures.append(Picture((spread.number, number), at_scale, _box(x, y, cell, high)))
        rules += [Rule(_box(x, y, cell, high), 0.7, 0.4), Rule(_box(x + cell / 2, y, 0.005, high), 0.7)]
        words.append(Words(f"{spread.number}", x, y + high + 0.38, 8.5, "Semibold"))
        words.append(Words(f"{spread.kind}, {spread.pace}", x + 0.55, y + high + 0.38, SMALL, grey=0.35))
        words.append(Words(f"{spread.score:.1f}", x + cell, y + high + 0.38, SMALL, align="right", grey=0.35))
    return Sheet(
        WIDE, HIGH, 0.0, tuple(pictures), tuple(words), tuple(rules), bookmark=f"Spreads from {spreads[0].number}"
    )


def _trimmed(at: Placed, x: float, y: float, scale: float) -> Placed:
    """Return a picture's place on the thumbnail, bleed and all."""
    return _box(x + at.x_cm * scale, y + at.y_cm * scale, at.width_cm * scale, at.height_cm * scale)


def _head(title: str, says: str) -> list[Words]:
    return [
        Words(title, MARGIN, MARGIN + 0.35, 13, "Semibold"),
        Words(says, WIDE - MARGIN, MARGIN + 0.35, 8.5, align="right", grey=0.35),
    ]


def _box(x: float, y: float, width: float, height: float) -> Placed:
    return Placed(x_cm=x, y_cm=y, width_cm=width, height_cm=height)


def _lines(album: Album) -> list[tuple[str, str, bool]]:
    """Return what the ledger says: words, points, and whether they weigh."""
    found: list[tuple[str, str, bool]] = []
    for chapter in album.chapters:
        when = f", {chapter.begins[:16].replace('T', ' ')}" if chapter.begins else ""
        found.append((f"Chapter {chapter.number}: {chapter.title}{when}, {chapter.frames} frames", "", True))
        for spread in album.spreads:
            if spread.chapter != chapter.number:
                continue
            paths = ", ".join(frame.path for frame in spread.frames)
            found.append((f"{spread.number}. {spread.kind}: {paths}", f"{spread.score:.1f}", False))
            found += [
                (f"     or {other.kind}: {', '.join(other.frames)}", f"{other.points:+.1f}", False)
                for other in spread.others[:1]
            ]
    found += [(line.says, f"{line.points:.1f}", False) for line in album.ledger if line.rule != "spread"]
    if album.score is not None:
        found.append(("The book", f"{album.score:.1f}", True))
    if album.bound is not None:
        found.append(("No book under this brief scores more than", f"{album.bound:.1f}", False))
    if album.greedy is not None:
        found.append(
            ("Made chapter by chapter, each spread best by itself, it would score", f"{album.greedy:.1f}", False)
        )
    return found


def _ledger(album: Album, title: str) -> tuple[Sheet, ...]:
    sheets: list[Sheet] = []
    words, y = _head(title, "what each spread scores, and what else could stand there"), MARGIN + 1.3
    width = (WIDE - 2 * MARGIN - 2.2) * CM
    for says, points, heavy in _lines(album):
        weight: Weight = "Semibold" if heavy else "Regular"
        lines = wrapped(says, 8.0, width, weight)
        if y + 0.4 * len(lines) > HIGH - MARGIN:
            sheets.append(Sheet(WIDE, HIGH, 0.0, words=tuple(words), bookmark="" if sheets else "Ledger"))
            words, y = _head(title, "continued"), MARGIN + 1.3
        y += 0.12 if heavy else 0.0
        words.append(Words(points.replace("-", "\u2212"), WIDE - MARGIN, y, 8.0, weight, "right"))
        for line in lines:
            words.append(Words(line, MARGIN, y, 8.0, weight))
            y += 0.4
    sheets.append(Sheet(WIDE, HIGH, 0.0, words=tuple(words), bookmark="" if sheets else "Ledger"))
    return tuple(sheets)

"""What of held-out odds of scale is right, by source and by what was stated, as text and as a diagram."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
from table import Table, right

__all__ = ["HEADINGS", "diagram", "reliability", "report"]

HEADINGS = ("strict", "unsure out", "+ second", "sure half", "+ second")
EDGES = (0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 1.0)


def report(name: str, odds: np.ndarray, table: Table, only: np.ndarray) -> None:
    strict, second = right(odds, table)
    sure = odds.max(axis=1)
    half = only & (sure > np.median(sure[only]))
    unsure = strict & (sure >= 0.5)
    shares = [strict[only], unsure[only], second[only], strict[half], second[half]]
    print(f"{name:<44} {only.sum():>5}" + "".join(f"{share.mean():>11.1%}" for share in shares))


def bins(odds: np.ndarray, table: Table) -> list[tuple[float, float, int, float, float]]:
    """Low and high edge, count, share right, and mean stated odds of each filled bin."""
    strict, _ = right(odds, table)
    sure = odds.max(axis=1)
    rows = []
    for low, high in pairwise(EDGES):
        on = (sure >= low) & ((sure < high) | (high >= 1.0))
        if on.any():
            rows.append((low, high, int(on.sum()), float(strict[on].mean()), float(sure[on].mean())))
    return rows


def reliability(odds: np.ndarray, table: Table) -> None:
    print("\nstated odds    n   right")
    for low, high, count, share, stated in bins(odds, table):
        print(f"{low:.2f}-{high:.2f} {count:>6} {share:7.1%}  (mean stated {stated:.1%})")


def diagram(odds: np.ndarray, table: Table, path: Path) -> None:
    """Draw share right over mean stated odds, one dot a bin with its 95 % interval (normal approximation), as SVG."""

    def x(value: float) -> float:
        return 50 + (value - 0.3) / 0.7 * 320

    def y(value: float) -> float:
        return 350 - (value - 0.3) / 0.7 * 320

    marks = []
    for _, _, count, share, stated in bins(odds, table):
        reach = 1.96 * np.sqrt(max(share * (1 - share), 1e-4) / count)
        low, high = max(share - reach, 0.3), min(share + reach, 1.0)
        marks.append(f'<path d="M{x(stated):.1f} {y(low):.1f}V{y(high):.1f}" stroke="#447"/>')
        marks.append(f'<circle cx="{x(stated):.1f}" cy="{y(share):.1f}" r="4" fill="#447"/>')
    ticks = [f'<text x="{x(v):.0f}" y="370" text-anchor="middle">{v:.1f}</text>' for v in (0.3, 0.5, 0.7, 0.9)]
    ticks += [f'<text x="42" y="{y(v) + 4:.0f}" text-anchor="end">{v:.1f}</text>' for v in (0.3, 0.5, 0.7, 0.9)]
    words = '<text x="210" y="390" text-anchor="middle">stated odds of the likeliest scale</text>'
    words += '<text x="14" y="190" text-anchor="middle" transform="rotate(-90 14 190)">share right</text>'
    frame = '<rect x="50" y="30" width="320" height="320" fill="none" stroke="#999"/>'
    line = '<path d="M50 350L370 30" stroke="#999" stroke-dasharray="4 4"/>'
    body = "\n".join([frame, line, *ticks, words, *marks])
    head = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 390 400" font-family="sans-serif" font-size="12">'
    path.write_text(f'{head}\n<rect width="390" height="400" fill="#fff"/>\n{body}\n</svg>\n', encoding="utf-8")

"""Indoors: window at x = 0, shelves at y = 4.6, bench at y = 0."""

from demo_catalog.make.shot import Shot

KEY = [
    Shot("wh-m1", "wheel", "window", (3.0, 1.2, 1.35), (1.35, 2.05, 0.85), 40, 4.0),
    Shot("sv-m1", "shelves", "window", (4.0, 2.4, 1.35), (4.0, 4.3, 1.15), 40, 5.6),
    Shot("be-c1", "bench", "window", (3.45, 1.05, 1.25), (3.45, 0.55, 0.87), 60, 4.0, samples=4),
    Shot("wh-w1", "wheel", "window morning", (5.3, 3.3, 1.55), (1.0, 1.8, 0.95), 26, 5.6),
    Shot("sv-w1", "shelves", "window", (0.6, 0.4, 1.75), (4.4, 3.8, 1.0), 20, 5.6, samples=4),
    Shot("wh-c1", "wheel", "window", (2.0, 1.75, 1.2), (1.35, 2.05, 0.96), 60, 4.0, samples=4),
    Shot("be-w1", "bench", "window", (0.5, 4.2, 1.7), (4.2, 0.4, 0.8), 20, 5.6, samples=4),
    Shot("sv-c1", "shelves", "window", (4.4, 3.7, 1.1), (4.45, 4.33, 0.95), 60, 4.0, samples=4),
    Shot("be-m1", "bench", "window", (3.6, 2.05, 1.5), (3.6, 0.4, 0.85), 35, 4.0),
    Shot("sv-m1b", "shelves", "window late", (4.01, 2.4, 1.352), (4.008, 4.3, 1.15), 40, 5.6),
]
MORE = [
    Shot("wh-c3", "wheel", "window morning", (0.75, 1.75, 1.2), (-0.1, 1.85, 1.0), 60, 4.0, samples=4),
    Shot("be-c2", "bench", "window", (3.3, 0.85, 1.2), (3.05, 0.28, 1.0), 60, 4.0, upright=True),
    Shot("sv-m2", "shelves", "window", (3.2, 3.0, 1.4), (3.4, 4.3, 1.1), 40, 4.0, upright=True),
    Shot("wh-w2", "wheel", "window", (3.7, 0.95, 1.5), (0.9, 2.3, 1.05), 24, 5.6, upright=True),
    Shot("wh-c1b", "wheel", "window", (2.0, 1.75, 1.2), (1.35, 2.05, 0.96), 60, 4.0, focus=(1.15, 2.1, 0.96)),
]
LAST = [
    Shot("wh-c4", "wheel", "window", (0.35, 2.75, 1.22), (-0.08, 2.38, 0.96), 50, 4.0),
    Shot("be-m2", "bench", "window", (2.1, 1.3, 1.45), (3.0, 0.35, 0.9), 40, 4.0, upright=True),
    Shot("wh-m2", "wheel", "window morning", (2.3, 3.05, 1.4), (1.35, 2.05, 0.85), 40, 4.0, upright=True),
    Shot("sv-m3", "shelves", "window", (5.5, 3.4, 1.35), (4.4, 4.3, 1.05), 40, 4.0),
    Shot("wh-c2", "wheel", "window", (1.25, 1.35, 1.15), (1.02, 2.0, 0.78), 60, 4.0, upright=True),
]

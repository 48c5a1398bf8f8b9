"""At the kiln after sunset; its door faces -y, the spy hole is at (0, 0, 0.886)."""

from demo_catalog.make.shot import Shot

KEY = [
    Shot("ki-w1", "kiln", "dusk", (-1.3, -6.9, 1.6), (0.1, 0.2, 1.45), 28, 4.0, samples=5),
    Shot("ki-c1", "kiln", "dusk", (0.3, -0.65, 1.02), (0.03, 0.0, 0.90), 60, 4.0),
    Shot("ki-m1", "kiln", "dusk", (-0.9, -1.9, 1.4), (0.02, 0.0, 0.94), 40, 4.0),
]
MORE = [
    Shot("ki-c2", "kiln", "dusk", (-1.6, -0.65, 1.0), (-1.75, 0.0, 0.74), 60, 4.0),
    Shot("ki-m3", "kiln", "dusk", (1.6, -2.0, 1.2), (2.1, 0.1, 0.7), 40, 4.0),
    Shot("ki-m2", "kiln", "dusk", (-0.7, -1.5, 1.25), (-1.8, 0.1, 0.75), 40, 4.0),
    Shot("ki-c1b", "kiln", "dusk", (0.3, -0.65, 1.02), (0.03, 0.0, 0.90), 60, 4.0, focus=(0.2, -0.3, 0.97)),
]
LAST = [
    Shot("ki-w2", "kiln", "dusk", (1.6, -3.9, 1.5), (-0.1, 0.2, 1.25), 30, 4.0, upright=True),
]

"""Out of doors: +y looks over the plain; the shed stands at x -9 to -3.4, y -7.4 to -3.2."""

from demo_catalog.make.shot import Shot

KEY = [
    Shot("pl-w1", "plain", "morning", (-1.5, 4.4, 1.65), (2.0, 60.0, -6.0), 28, 8.0, horizon=True),
    Shot("ya-c1", "yard", "evening", (-2.2, 2.85, 1.05), (-2.35, 3.5, 0.86), 70, 4.0),
    Shot("sh-w1", "shed", "afternoon", (0.2, 1.6, 1.65), (-6.0, -4.5, 1.35), 32, 8.0),
    Shot("ya-m1", "yard", "afternoon", (-0.95, 1.15, 1.5), (0.95, 2.6, 0.85), 40, 5.6),
    Shot("pl-m1", "plain", "forenoon", (2.6, 2.4, 1.35), (4.8, 4.95, 0.62), 40, 5.6, horizon=True, roll=-1.2),
    Shot("sh-m1", "shed", "evening", (-4.2, 0.4, 1.5), (-4.9, -3.2, 1.05), 40, 5.6, upright=True),
    Shot("ya-w1", "yard", "forenoon", (6.2, -2.5, 1.75), (-0.8, 3.6, 0.7), 28, 8.0, horizon=True),
]
SECOND = [
    Shot("ya-big", "yard", "afternoon", (1.9, 1.35, 1.3), (1.7, 2.6, 0.86), 40, 11.0, samples=2, long_side=6000),
    Shot("pl-w4", "plain", "afternoon", (1.9, 5.0, 1.7), (4.0, 200.0, -16.0), 50, 8.0, horizon=True, roll=4.0),
    Shot("pl-w3", "plain", "noon", (4.0, -1.0, 1.65), (6.4, 20.0, 0.3), 28, 8.0, upright=True, horizon=True, roll=-2.4),
    Shot("ya-c1b", "yard", "evening", (-2.2, 2.85, 1.05), (-2.35, 3.5, 0.86), 70, 4.0, focus=(-2.45, 3.84, 0.86)),
    Shot("pl-w2", "plain", "evening", (0.0, -1.0, 1.7), (-0.5, 30.0, -0.6), 24, 8.0, horizon=True, roll=1.6),
    Shot("pl-c1", "plain", "forenoon", (-0.6, 4.9, 0.95), (-0.8, 5.72, 0.5), 60, 5.6),
    Shot("sh-c1", "shed", "forenoon", (-4.72, -2.5, 1.16), (-4.9, -3.18, 1.06), 60, 5.6),
]
MORE = [
    Shot("ya-m2", "yard", "forenoon", (-2.9, 1.7, 1.3), (-2.6, 3.7, 0.85), 40, 4.0, horizon=True),
    Shot("sh-w3", "shed", "evening", (-2.2, 2.4, 1.6), (-4.6, -3.2, 1.5), 35, 8.0, upright=True),
    Shot("sh-c2", "shed", "forenoon", (-7.75, -2.1, 1.25), (-7.85, -2.95, 1.05), 70, 4.0),
    Shot("sh-m2", "shed", "forenoon", (-7.5, 0.6, 1.4), (-7.7, -3.0, 1.0), 40, 5.6),
    Shot("ya-c2", "yard", "afternoon", (1.0, 1.65, 1.15), (1.1, 2.3, 0.86), 60, 4.0),
]
LAST = [
    Shot("ya-w2", "yard", "evening", (-6.0, 0.2, 1.65), (1.6, 3.0, 0.6), 28, 8.0, horizon=True, roll=-0.8),
    Shot("pl-w5", "plain", "morning", (-3.0, 5.0, 1.7), (-60.0, 400.0, -35.0), 85, 8.0, horizon=True, roll=0.7),
    Shot("pl-m2", "plain", "noon", (5.2, -0.6, 1.5), (7.6, 2.6, 1.3), 50, 5.6, upright=True),
    Shot("sh-m3", "shed", "forenoon", (-0.4, -5.2, 1.3), (-3.0, -5.3, 0.8), 40, 5.6),
]

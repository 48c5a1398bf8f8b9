"""Measures of the workshop in metres."""

LENGTH, DEPTH, HEIGHT = 6.0, 4.6, 2.75
SILL_BOARD = 0.012  # how far the board of the sill stands above the masonry
WINDOW = (1.45, 2.75, 0.95, 2.15)  # from, to along y; sill, lintel above the floor

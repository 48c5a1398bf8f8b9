"""Rows and groups to be kept in an index, for the tests of the store."""

import numpy as np

from setsolver.catalog.records import Groups, Known, Measured, Pairs
from tests.rules.builders import make_frame


def row(path, number=0, known=None):
    """What a scan gives the index of one file."""
    frame = make_frame(number, rating=3.0, keywords=("kiln",))
    return Measured(path, known or Known(10, 20, "", "1", b"digest"), 6000, 4000, frame.shot, "", frame.measures)


def groups(moments, pairs=(), series=(), remarks=()):
    """What grouping gives it."""
    first, second = np.array(pairs, np.int64).reshape(-1, 2).T
    labels = np.array([(moment, 0, 0) for moment in moments], np.int64).reshape(-1, 3)
    return Groups(labels, Pairs(first, second, tuple(np.array(frames) for frames in series)), remarks)

"""Which caps nest."""

import numpy as np

from setsolver.solver.nesting import nested_chains


def test_bursts_in_scenes_make_one_chain_from_fine_to_coarse():
    label, cap, chains = nested_chains(
        np.arange(6), np.array([[7, 7, 9, 9, 9, -1], [1, 1, 0, 0, 2, 2], [3, 3, 3, 3, 5, 5]])[[0, 2]], np.array([1, 2])
    )
    assert chains.tolist() == [0, 2, 3]  # a burst that spans two scenes does not nest
    label, cap, chains = nested_chains(
        np.arange(6), np.array([[7, 7, 9, 9, 4, -1], [3, 3, 3, 3, 5, 5]]), np.array([1, 2])
    )
    assert chains.tolist() == [0, 3]
    assert cap.tolist() == [1, 1, 2]
    assert label[1].tolist() == [1, 1, 2, 2, 0, -1]


def test_frames_whose_renditions_lie_in_two_groups_start_a_chain_of_their_own():
    _, _, chains = nested_chains(np.array([0, 0, 1]), np.array([[0, 1, 1]]), np.array([1]))
    assert chains.tolist() == [0, 1, 2]

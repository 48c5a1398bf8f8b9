"""Which caps nest."""

from itertools import pairwise

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


def test_of_many_rows_that_do_not_nest_those_that_do_still_find_their_chain():
    frames = np.arange(240)
    rng = np.random.default_rng(0)
    wild = rng.integers(0, 6, (60, 240))
    group = np.vstack([frames // 4, wild, frames // 60])
    label, cap, chains = nested_chains(frames, group, np.arange(62) + 2)
    assert len(label) == len(cap) == 63
    assert sorted(cap.tolist()) == [1, *range(2, 64)]
    longest = int(np.diff(chains).argmax())
    assert set(cap[chains[longest] : chains[longest + 1]].tolist()) >= {1, 2, 63}
    for start, end in pairwise(chains):
        for finer in range(start, end):
            for coarser in range(finer + 1, end):
                held = label[finer] >= 0
                pairs = set(zip(label[finer][held].tolist(), label[coarser][held].tolist(), strict=True))
                assert len(pairs) == len({fine for fine, _ in pairs}), (finer, coarser)

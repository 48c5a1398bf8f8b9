"""Clusters: exact gaps, held together, and no arrangement in rows and columns that is cheaper."""

from itertools import combinations, permutations, product

import numpy as np
import pytest
from hypothesis import given, settings

from setsolver.errors import BadBrief
from setsolver.layout.cluster import MOST
from setsolver.layout.evenness import linked, loose_share, one_sided_share
from setsolver.layout.slicing import _cells, cost, slicings
from tests.layout.walls import SIZES, apart, gaps, planned, sizes


def boxes(plan):
    return np.array([(f.x_cm, f.y_cm, f.width_cm, f.height_cm) for f in plan.frames])


@settings(max_examples=10, deadline=None)
@given(prints=sizes, gap=gaps)
def test_one_can_walk_over_exact_gaps_from_every_print_to_every_other(prints, gap):
    plan = planned("cluster", prints, gap_cm=gap)
    assert linked(boxes(plan), gap)
    edges = [(x, x + w, y, y + h) for x, y, w, h in boxes(plan)]
    assert all(apart(a, b) >= gap - 1e-6 for a, b in combinations(edges, 2))
    assert min(e[0] for e in edges) == pytest.approx(0)
    assert min(e[2] for e in edges) == pytest.approx(0)


def test_a_lead_with_four_uprights_hangs_mirrored():
    plan = planned("cluster", SIZES)
    assert one_sided_share(boxes(plan)) == 0
    assert (plan.width_cm, plan.height_cm) == (110, 65)  # by hand: 20 + 5 + 60 + 5 + 20 across, 30 + 5 + 30 down
    assert "the most compact and even of all" in plan.says


def test_like_prints_fill_a_rectangle():
    plan = planned("cluster", [(30.0, 20.0)] * 6)
    assert loose_share(boxes(plan), 5) == 0
    assert "prints and gaps fill 100% of it" in plan.says


def brute(sizes_, gap):
    """Cheapest cost over every binary tree of joins, every order and alignment, by plain recursion."""

    def shapes(part):
        if len(part) == 1:
            (w, h) = part[0]
            yield w, h, w * w * h / 2, w * h * h / 2
            return
        for cut in range(1, len(part)):
            for (w1, h1, a1, b1), (w2, h2, a2, b2) in product(list(shapes(part[:cut])), list(shapes(part[cut:]))):
                one = sum(w * h for w, h in part[:cut])
                two = sum(w * h for w, h in part[cut:])
                for share in (0.0, 0.5, 1.0):
                    high, wide = max(h1, h2), max(w1, w2)
                    yield (
                        w1 + gap + w2,
                        high,
                        a1 + a2 + two * (w1 + gap),
                        b1 + b2 + one * (high - h1) * share + two * (high - h2) * share,
                    )
                    yield (
                        wide,
                        h1 + gap + h2,
                        a1 + a2 + one * (wide - w1) * share + two * (wide - w2) * share,
                        b1 + b2 + two * (h1 + gap),
                    )

    every = np.array([shape for order in set(permutations(sizes_)) for shape in shapes(order)])
    area = sum(w * h for w, h in sizes_)
    cells = sum((w + gap) * (h + gap) for w, h in sizes_)
    return float(cost(every, area, cells, gap).min())


@pytest.mark.parametrize(
    "prints", [[(60.0, 40.0), (20.0, 30.0), (20.0, 30.0)], [(50.0, 50.0), (30.0, 40.0), (24.0, 18.0)], SIZES[:4]]
)
def test_the_search_finds_what_plain_recursion_finds(prints):
    found = slicings(tuple(sorted(prints)), 5.0)
    whole = found.states[-1]
    area = sum(w * h for w, h in prints)
    least = cost(found.kept[whole].shape, area, _cells(found.sizes, whole, 5.0), 5.0).min()
    assert least == pytest.approx(brute(prints, 5.0), abs=1e-9)


def test_no_arrangement_is_smaller_than_prints_with_their_gaps():
    found = slicings(tuple(sorted(SIZES)), 5.0)
    assert max(found.filled(rank) for rank in range(found.count)) <= 1 + 1e-12


def test_too_many_prints_are_refused_with_the_way_out():
    with pytest.raises(
        BadBrief, match=f'at most {MOST} prints, and the set has 25; take fewer, or layout.kind = "grid"'
    ):
        planned("cluster", [(20.0, 30.0)] * 25)


def test_many_sizes_are_said_not_to_be_all_looked_at():
    plan = planned("cluster", [(20.0 + k, 31.0 - k) for k in range(9)])
    assert "those looked at, not all there are" in plan.says
    assert linked(boxes(plan), 5)

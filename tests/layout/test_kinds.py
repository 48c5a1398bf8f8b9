"""Kinds of layout: which there are, and that each keeps its gaps, its wall and what must stay clear."""

from itertools import combinations, pairwise

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

import setsolver.layout as package
from setsolver.errors import BadBrief
from setsolver.layout import kind_named, kinds
from tests.layout.walls import SIZES, STAIR, WALL, apart, gaps, on_wall, planned, sizes

ON_WALLS = ["cluster", "column", "grid", "line", "row", "steps", "story"]


def test_kinds_are_found_by_looking():
    assert list(kinds()) == ["cluster", "column", "grid", "line", "pair", "row", "steps", "story"]


def test_a_file_that_exports_a_kind_is_a_kind(tmp_path, monkeypatch):
    made = (
        "from setsolver.layout.kind import Kind\nKIND = Kind('spiral_for_test', 'round and round', lambda task: ())\n"
    )
    (tmp_path / "spiral_for_test.py").write_text(made)
    monkeypatch.setattr(package, "__path__", [*package.__path__, str(tmp_path)])
    kinds.cache_clear()
    try:
        assert kind_named("spiral_for_test").says == "round and round"
    finally:
        kinds.cache_clear()


def test_an_unknown_kind_is_told_with_all_there_are():
    with pytest.raises(BadBrief, match=r'layout\.kind = "spiral"; allowed: cluster, column, grid'):
        kind_named("spiral")


@pytest.mark.parametrize("kind", ON_WALLS)
@settings(max_examples=12, deadline=None)
@given(prints=sizes, gap=gaps)
def test_nothing_overlaps_leaves_the_wall_or_covers_an_opening(kind, prints, gap):
    door = {"left": 0, "bottom": 0, "width": 80, "height": 200, "what": "door"}
    wall = {**WALL, "height": 700, "margin": 10, "clear": [door], "stair": STAIR}
    plan = planned(kind, prints, wall, gap_cm=gap)
    hung = on_wall(plan)
    for left, right, low, high in hung:
        assert left >= -1e-6
        assert right <= 600 + 1e-6
        assert low >= -1e-6
        assert high <= 700 + 1e-6
        assert apart((left, right, low, high), (0, 80, 0, 200)) >= 10 - 1e-6
    for a, b in combinations(hung, 2):
        assert apart(a, b) >= gap - 1e-6
    hung_sizes = sorted((round(p.width_cm, 6), round(p.height_cm, 6)) for p in plan.places)
    assert hung_sizes == sorted(prints)


@pytest.mark.parametrize("kind", ["row", "line", "column", "steps"])
@settings(max_examples=12, deadline=None)
@given(prints=sizes, gap=gaps)
def test_gaps_between_neighbours_are_exact(kind, prints, gap):
    hung = on_wall(planned(kind, prints, {**WALL, "height": 900, "centre": 300, "stair": STAIR}, gap_cm=gap))
    for a, b in pairwise(hung):
        between = a[2] - b[3] if kind == "column" else b[0] - a[1]
        assert between == pytest.approx(gap, abs=1e-6)


@pytest.mark.parametrize("kind", ["row", "grid", "column", "line", "story", "cluster"])
@settings(max_examples=10, deadline=None)
@given(prints=sizes, left=st.integers(0, 400), width=st.integers(20, 120), low=st.integers(0, 100))
@example(prints=[(10.0, 10.0), (18.0, 10.0), (60.0, 10.0)], left=358, width=20, low=16)  # 14 aside cost as much as 7 up
@example(prints=[(10.0, 10.0), (10.0, 10.0), (10.0, 15.0)], left=138, width=120, low=7)  # a cluster's mirror image
def test_a_mirrored_wall_gives_a_mirrored_plan(kind, prints, left, width, low):
    # A row of mixed sizes is mirrored with its order; a column, grid and story are their own mirror images. A pillar in
    # the very middle of the wall would leave two places that are as good.
    assume(2 * left + width != 600)
    alike = [prints[0]] * len(prints) if kind in {"grid", "story"} else prints
    keep = {"left": left, "bottom": low, "width": width, "height": 120}
    mirrored = {**keep, "left": 600 - left - width}
    wall = {**WALL, "margin": 5}
    turned = alike[::-1] if kind in {"row", "line"} else alike
    here = planned(kind, alike, {**wall, "clear": [keep]})
    there = planned(kind, turned, {**wall, "clear": [mirrored]})
    assert here.width_cm == pytest.approx(there.width_cm)
    assert here.top_cm == pytest.approx(there.top_cm)
    if kind == "cluster":  # a block and its mirror image may be as good: what counts is how far it had to move
        moved = [abs(plan.left_cm + plan.width_cm / 2 - 300) for plan in (here, there)]
        assert moved[0] == pytest.approx(moved[1], abs=1e-6)
        return
    flipped = sorted((600 - right, 600 - left_, low_, high) for left_, right, low_, high in on_wall(there))
    assert [value for box in sorted(on_wall(here)) for value in box] == pytest.approx(
        [value for box in flipped for value in box], abs=1e-6
    )


@pytest.mark.parametrize(("align", "edge"), [("top", 3), ("bottom", 2)])
def test_a_line_stands_at_one_height(align, edge):
    hung = on_wall(planned("line", SIZES, WALL, align=align))
    assert len({round(box[edge], 6) for box in hung}) == 1
    middles = on_wall(planned("line", SIZES, WALL, align="middle"))
    assert {round((box[2] + box[3]) / 2, 6) for box in middles} == {145.0}


@pytest.mark.parametrize("up", ["right", "left"])
def test_steps_climb_with_the_stair(up):
    wall = {**WALL, "height": 800, "stair": {**STAIR, "up": up}}
    hung = on_wall(planned("steps", SIZES, wall))
    sign = 1 if up == "right" else -1
    foot = 0 if up == "right" else 600
    for left, right, low, high in hung:  # each middle is a centre height above the line over the steps' noses
        assert (low + high) / 2 == pytest.approx(145 + sign * 18 / 27 * ((left + right) / 2 - foot))


def test_steps_without_a_stair_say_what_is_missing():
    with pytest.raises(BadBrief, match=r"stair = \{ rise = 17.5, run = 28 \}"):
        planned("steps", SIZES, WALL)


def test_a_pair_has_no_wall():
    with pytest.raises(BadBrief, match=r"take \[wall\] out of the brief"):
        planned("pair", SIZES, WALL)

"""Sets side by side: every rule of either counts, the second minus the first."""

import pytest

from setsolver.errors import BadInput
from setsolver.usecases.compare import compare, points_by_rule
from setsolver.usecases.suggest import suggest
from tests.rules.builders import make_brief, make_frame, make_snapshot


@pytest.fixture
def two():
    """Return a set made without a word on stars, and one that pays them."""
    shoot = make_snapshot(*(make_frame(i, rating=float(i % 6)) for i in range(9)))
    briefs = make_brief(weights={"rating": 0}), make_brief(weights={"rating": 30, "variety": 0})
    made = [suggest(shoot, brief, alternates=0) for brief in briefs]
    return [(name, outcome, outcome.sets[0]) for name, outcome in zip("ab", made, strict=True)]


def test_a_rule_of_one_set_only_counts_whole(two):
    (_, _, plain), (_, _, starred) = two
    (pair,) = compare(two)["pairs"]
    assert pair["rules"]["rating"] == pytest.approx(points_by_rule(starred)["rating"])
    assert pair["rules"]["variety"] == pytest.approx(-points_by_rule(plain)["variety"])
    assert sum(pair["rules"].values()) == pytest.approx(pair["points"])
    assert pair["points"] == pytest.approx(starred.score - plain.score)


def test_frames_and_looks_are_told_apart_by_side(two):
    (_, _, plain), (_, _, starred) = two
    (pair,) = compare(two)["pairs"]
    first, second = ({frame.path for frame in one.frames} for one in (plain, starred))
    assert (set(pair["shared"]), set(pair["only_first"])) == (first & second, first - second)
    assert set(pair["only_second"]) == second - first
    assert pair["look"] == {
        axis: pytest.approx(getattr(starred.look, axis) - getattr(plain.look, axis)) for axis in pair["look"]
    }
    assert any("different briefs (weights.rating and weights.variety)" in said for said in pair["warnings"])


def test_one_set_compares_with_nothing(two):
    with pytest.raises(BadInput, match="1 set given"):
        compare(two[:1])


def catalogs(two, *folders):
    """Return the same sets as if made of catalogs that were named so."""
    return [
        (name, made.model_copy(update={"catalog": at}), found)
        for (name, made, found), at in zip(two, folders, strict=True)
    ]


def test_one_folder_named_in_two_ways_is_one(two, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (pair,) = compare(catalogs(two, "pottery", str(tmp_path / "pottery")))["pairs"]
    assert not any("different folders" in said for said in pair["warnings"])


def test_two_folders_are_said(two, tmp_path):
    (pair,) = compare(catalogs(two, str(tmp_path / "pottery"), str(tmp_path / "kiln")))["pairs"]
    assert any("different folders" in said for said in pair["warnings"])

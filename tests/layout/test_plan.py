"""What a plan says: sizes over all, rows, pages, and cautions that promise nothing."""

import pytest

from setsolver.domain.brief import Brief
from setsolver.layout import ArrangeItem, arrange


def plan(kind, size, **more):
    brief = Brief(name="b", size=size, print_cm=30, layout={"kind": kind, "gap_cm": 3}, **more)
    return arrange(brief, [ArrangeItem(str(i), "wide", None, 50.0, 1.5) for i in range(size)]).plan


def test_a_grid_is_told_by_rows_and_size():
    told = plan("grid", 8)
    assert told.rows == (3, 3, 2)
    assert (told.width_cm, told.height_cm) == pytest.approx((96, 66))
    assert told.says == "8 prints in 3 rows, 3 cm apart, 96.0 by 66.0 cm over all"


def test_a_row_says_one_row():
    assert "in one row" in plan("row", 3).says


def test_a_pair_is_told_by_its_pages():
    told = plan("pair", 2)
    assert told.rows == (1, 1)
    assert [page.width_cm for page in told.pages] == pytest.approx([42.0, 42.0])
    assert told.says == "2 prints on two facing pages, A3 landscape, 42.0 by 29.7 cm each"
    assert told.cautions == ()


@pytest.mark.parametrize("kind", ["row", "grid", "story"])
def test_walls_say_what_to_check_and_never_that_they_are_safe(kind):
    words = " ".join(plan(kind, 4).cautions)
    for needed in ("weight", "type of wall", "rating of the fasteners", "local building codes", "licensed"):
        assert needed in words
    assert "safe" not in words

"""Spread kinds on pages: inside the safe margin or to beyond the trim, apart, clear of the fold."""

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.domain.album_wish import AlbumWish
from setsolver.errors import BadBrief
from setsolver.layout.pages import leaves_a_page, mirrored, on_pages
from setsolver.usecases.spread_kinds import kinds_for, parse_kind, spread_kinds

KINDS = spread_kinds()


def kind(boxes, reach="page", area="left"):
    place = f'[[place]]\nname = "lead"\narea = "{area}"\nreach = "{reach}"\nbox = {boxes}\n'
    return parse_kind(f'name = "own"\nsays = "x"\npace = "full"\n{place}', "own.toml")


pages = st.builds(
    AlbumWish,
    page_cm=st.tuples(st.floats(12, 45), st.floats(12, 45)),
    bleed_mm=st.floats(0, 6),
    safe_mm=st.floats(3, 12),
    gutter_mm=st.floats(0, 12),
    gap_mm=st.floats(1, 8),
)


@given(pages, st.sampled_from(sorted(KINDS)))
def test_pictures_lie_apart_and_inside_the_margin_or_reach_beyond_the_trim(wish, name):
    parts = on_pages(KINDS[name], wish)
    places = [(part, at) for part in parts for at in part.places]
    width, height = 2 * wish.page_cm[0], wish.page_cm[1]
    safe, bleed = wish.safe_mm / 10, wish.bleed_mm / 10
    for part, at in places:
        assert at.width_cm / at.height_cm == pytest.approx(part.cut.aspect, rel=1e-3)
        edges = at.x_cm, at.y_cm, width - at.x_cm - at.width_cm, height - at.y_cm - at.height_cm
        for edge in edges:
            inner = edge > safe - 1e-6
            assert inner or edge == pytest.approx(-bleed, abs=1e-6)
        reaches = at.x_cm < wish.page_cm[0] - 1e-6 < at.x_cm + at.width_cm - 2e-6
        assert reaches == (part.cut.strip[1] > 0 or (reaches and wish.gutter_mm == 0))
    for (_, a), (_, b) in combinations(places, 2):
        beside = a.x_cm + a.width_cm <= b.x_cm + 1e-6 or b.x_cm + b.width_cm <= a.x_cm + 1e-6
        assert beside or a.y_cm + a.height_cm <= b.y_cm + 1e-6 or b.y_cm + b.height_cm <= a.y_cm + 1e-6


def test_a_full_page_must_keep_what_matters_off_trim_and_fold():
    """By hand: 20 by 20 cm, 3 mm bleed, 8 mm safe, 10 mm fold: 20.3 by 20.6 cm, 11 mm lost outside, 10 at the fold."""
    wish = AlbumWish(page_cm=(20, 20), bleed_mm=3, safe_mm=8, gutter_mm=10)
    (part,) = on_pages(kind([[0, 0, 1, 1]], "bleed"), wish)
    at = part.places[0]
    assert (at.x_cm, at.y_cm, at.width_cm, at.height_cm) == pytest.approx((-0.3, -0.3, 20.3, 20.6))
    assert part.cut.margin == pytest.approx((1.1 / 20.3, 1.1 / 20.6, 1.0 / 20.3, 1.1 / 20.6), abs=1e-5)


def test_a_picture_across_the_fold_has_a_strip_in_it():
    """By hand: 40.6 cm wide; the fold swallows 19.3 to 21.3 cm of it."""
    wish = AlbumWish(page_cm=(20, 20), bleed_mm=3, gutter_mm=10)
    (part,) = on_pages(kind([[0, 0, 1, 1]], "bleed", "spread"), wish)
    assert part.cut.strip == pytest.approx((19.3 / 40.6, 21.3 / 40.6), abs=1e-5)


def test_boxes_that_overlap_are_refused():
    with pytest.raises(BadBrief, match=r"own: lead and lead overlap by 7\.4 by 18\.4 cm"):
        on_pages(kind([[0, 0, 0.7, 1], [0.3, 0, 0.7, 1]]), AlbumWish(page_cm=(20, 20), gap_mm=0))


@pytest.mark.parametrize("boxes", ["[[0, 0, 1.2, 1]]", "[[0, 0, 0, 1]]", "[]", "[[0.5, 0, 0.6, 1]]"])
def test_boxes_that_leave_their_area_are_refused(boxes):
    with pytest.raises(BadBrief, match=r"own\.toml: place\.0\.box"):
        kind(boxes)


def test_a_page_smaller_than_its_margins_is_refused():
    with pytest.raises(ValueError, match="make the page larger or the margins smaller"):
        AlbumWish(page_cm=(6, 20), safe_mm=30, gutter_mm=20)


def test_a_kind_that_nobody_knows_is_told_with_the_nearest():
    with pytest.raises(BadBrief, match='no spread kind "qiet"; did you mean "quiet"'):
        kinds_for(AlbumWish(kinds=("qiet",)))


def test_a_folder_brings_kinds_of_ones_own(tmp_path):
    (tmp_path / "wide.toml").write_text(
        'name = "wide"\nsays = "x"\npace = "quiet"\n'
        '[[place]]\nname = "lead"\narea = "spread"\nbox = [[0, 0.2, 1, 0.6]]\n'
    )
    found = kinds_for(AlbumWish(templates=str(tmp_path)))
    assert {"wide", "quiet", "single"} <= set(found)
    with pytest.raises(BadBrief, match="no spread kinds"):
        kinds_for(AlbumWish(templates=str(tmp_path / "nowhere")))


def test_a_mirrored_place_is_as_far_from_the_other_edge():
    wish = AlbumWish(page_cm=(20, 20))
    at = on_pages(kind([[0.1, 0.2, 0.3, 0.4]]), wish)[0].places[0]
    there = mirrored(at, wish)
    assert 40 - there.x_cm - there.width_cm == pytest.approx(at.x_cm)
    assert mirrored(there, wish).x_cm == pytest.approx(at.x_cm)


def test_a_spread_leaves_a_page_where_all_pictures_stand_on_the_other():
    wish = AlbumWish()
    for name, kind in kinds_for(wish).items():
        assert leaves_a_page(on_pages(kind, wish), wish) == (name in ("quiet", "quiet-upright")), name


MARGINS = {"page_cm": (30, 20), "bleed_mm": 3, "safe_mm": 10, "gutter_mm": 15, "gap_mm": 4}


@pytest.mark.parametrize(
    ("area", "reach", "left", "right"),
    [
        ("left", "page", 1.0, 28.5),
        ("right", "page", 31.5, 59.0),
        ("spread", "page", 1.0, 59.0),
        ("left", "bleed", -0.3, 30.0),
        ("right", "bleed", 30.0, 60.3),
        ("spread", "bleed", -0.3, 60.3),
    ],
)
def test_each_area_ends_at_its_own_margins(area, reach, left, right):
    """By hand: two pages of 30 cm, 10 mm safe outside, 15 mm at the fold; what bleeds goes 3 mm beyond the trim."""
    (part,) = on_pages(kind([[0, 0, 1, 1]], reach, area), AlbumWish(**MARGINS))
    (at,) = part.places
    assert (at.x_cm, at.x_cm + at.width_cm) == pytest.approx((left, right))
    ends = (-0.3, 20.3) if reach == "bleed" else (1.0, 19.0)
    assert (at.y_cm, at.y_cm + at.height_cm) == pytest.approx(ends)


def test_a_gap_lies_between_boxes_and_nowhere_else():
    """By hand: four boxes of a page of 27.5 by 18 cm within its margins, 4 mm between neighbours."""
    boxes = [[0, 0, 0.5, 0.5], [0.5, 0, 0.5, 0.5], [0, 0.5, 0.5, 0.5], [0.5, 0.5, 0.5, 0.5]]
    parts = on_pages(kind(boxes), AlbumWish(**MARGINS))
    places = sorted((round(at.x_cm, 6), round(at.y_cm, 6)) for part in parts for at in part.places)
    middle, half = (1 + 27.5 / 2 + 0.2, 1 + 9 + 0.2), (27.5 / 2 - 0.2, 9 - 0.2)
    assert places == [pytest.approx(p) for p in sorted((x, y) for x in (1, middle[0]) for y in (1, middle[1]))]
    assert all((at.width_cm, at.height_cm) == pytest.approx(half) for part in parts for at in part.places)


def test_a_shape_of_its_own_stands_where_it_is_aligned():
    """By hand: a square in 27.5 by 18 cm is 18 cm wide, and 9.5 cm are left beside it."""
    own = kind([[0, 0, 1, 1]])
    for share in (0.0, 0.25, 1.0):
        place = own.place[0].model_copy(update={"aspect": "1:1", "align": (share, 0.0)})
        (part,) = on_pages(own.model_copy(update={"place": (place,)}), AlbumWish(**MARGINS))
        (at,) = part.places
        assert (at.width_cm, at.height_cm) == pytest.approx((18, 18))
        assert (at.x_cm, at.y_cm) == pytest.approx((1 + 9.5 * share, 1))


def test_a_full_page_at_the_right_is_that_at_the_left_mirrored():
    """By hand: from the fold at 20 cm to 3 mm beyond the trim at 40; 10 mm lost at the fold, 11 outside."""
    wish = AlbumWish(page_cm=(20, 20), bleed_mm=3, safe_mm=8, gutter_mm=10)
    (part,) = on_pages(kind([[0, 0, 1, 1]], "bleed", "right"), wish)
    at = part.places[0]
    assert (at.x_cm, at.y_cm, at.width_cm, at.height_cm) == pytest.approx((20, -0.3, 20.3, 20.6))
    assert part.cut.margin == pytest.approx((1.0 / 20.3, 1.1 / 20.6, 1.1 / 20.3, 1.1 / 20.6), abs=1e-5)

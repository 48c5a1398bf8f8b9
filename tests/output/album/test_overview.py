"""The sheets that show a whole book: A4 on its side (ISO 216), four spreads in a row, by hand in centimetres."""

from itertools import pairwise

import pytest

from setsolver.domain.outcome import LedgerLine
from setsolver.output.album import overview_sheets
from setsolver.output.album.typeface import width_of
from tests.output.album.books import album

CELL = (29.7 - 2 * 1.3 - 3 * 0.7) / 4
SCALE = CELL / 40
"""A spread of two pages of 20 by 15 on the width of a cell."""
HIGH = 15 * SCALE
STEP = HIGH + 0.85 + 0.25


def book(count=17, **changes):
    made = album()
    spreads = tuple(made.spreads[0].model_copy(update={"number": n, "score": 100.0 + n}) for n in range(1, count + 1))
    return made.model_copy(update={"spreads": spreads, **changes})


def headline(made):
    return overview_sheets(made, "A day")[0].words[1].text


def places(count):
    return [(1.3 + n % 4 * (CELL + 0.7), 2.5 + n // 4 * STEP) for n in range(count)]


def test_spreads_stand_in_rows_of_four_as_many_as_find_room():
    """21 cm less margins of 1.3 and a head of 1.2 hold four rows of 3.44."""
    first, second, *_ = overview_sheets(book(), "A day")
    assert (len(first.pictures), len(second.pictures)) == (16, 1)
    assert (first.bookmark, second.bookmark) == ("Spreads from 1", "Spreads from 17")
    for sheet in (first, second):
        spreads = [rule.at for rule in sheet.rules if rule.pen]
        assert [(at.x_cm, at.y_cm) for at in spreads] == [pytest.approx(at) for at in places(len(sheet.pictures))]
        assert {(at.width_cm, at.height_cm) for at in spreads} == {(CELL, HIGH)}
        for picture, (x, y) in zip(sheet.pictures, places(99), strict=False):
            assert picture.clip == next(at for at in spreads if (at.x_cm, at.y_cm) == pytest.approx((x, y)))
            wanted = x + 22 * SCALE, y + 3 * SCALE, 12 * SCALE, 8 * SCALE
            at = picture.at
            assert (at.x_cm, at.y_cm, at.width_cm, at.height_cm) == pytest.approx(wanted)
    assert [picture.key for picture in (*first.pictures, *second.pictures)] == [(n, 0) for n in range(1, 18)]


def test_under_each_spread_stand_its_number_kind_and_score():
    first, _, *_ = overview_sheets(book(), "A day")
    for n, (x, y) in enumerate(places(16), 1):
        number, kind, score = first.words[3 * n - 1 : 3 * n + 2]
        assert (number.text, kind.text, score.text) == (str(n), "quiet, quiet", f"{100 + n}.0")
        assert (number.x, kind.x, score.x) == pytest.approx((x, x + 0.55, x + CELL))
        assert score.align == "right"
        assert (number.y, kind.y, score.y) == pytest.approx([y + HIGH + 0.38] * 3)


def test_title_and_head_stand_at_the_upper_corners_of_each_sheet():
    for sheet in overview_sheets(book(), "A day"):
        title, head = sheet.words[:2]
        assert (title.text, title.align, title.x) == ("A day", "left", 1.3)
        assert (head.align, head.x) == ("right", pytest.approx(29.7 - 1.3))
        assert title.y == head.y == pytest.approx(1.3 + 0.35)


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({}, "3 spreads, 3 pictures, 250.5 points, proven best"),
        ({"status": "open", "gap": 3.04}, "3 spreads, 3 pictures, 250.5 points, at most 3.0 points better might exist"),
        ({"status": "open", "gap": None}, "3 spreads, 3 pictures, 250.5 points"),
        ({"status": "open", "score": None, "gap": None}, "3 spreads, 3 pictures"),
    ],
)
def test_the_head_claims_no_more_than_was_proven(changes, told):
    assert headline(book(3, **changes)) == told


def test_the_ledger_has_each_line_s_points_beside_it_and_goes_on_before_the_page_ends():
    lines = tuple(LedgerLine(rule="pace", points=-1.5, frames=(), says=f"line {n}") for n in range(60))
    sheets = overview_sheets(book(17, ledger=lines), "A day")[2:]
    assert [sheet.bookmark for sheet in sheets] == ["Ledger"] + [""] * (len(sheets) - 1)
    assert len(sheets) > 1
    said = []
    for number, sheet in enumerate(sheets):
        title, head, *words = sheet.words
        assert (title.text, (head.text == "continued")) == ("A day", number > 0)
        assert all(title.y < word.y <= 21 - 1.3 for word in words)
        left = [word for word in words if word.align == "left"]
        assert [word.x for word in left] == [1.3] * len(left)
        assert all(b.y - a.y >= 0.4 - 1e-9 for a, b in pairwise(left))
        assert left[0].y == pytest.approx(2.6, abs=0.13)
        points = {word.y: word for word in words if word.align == "right"}
        assert {word.x for word in points.values()} == {29.7 - 1.3}
        said += [(word.text, points[word.y].text) for word in left if word.y in points]
    told = [f"line {n}" for n in range(60)]
    assert [pair for pair in said if pair[0] in told] == [(one, "\u22121.5") for one in told]
    assert [pair for pair in said if pair[0].startswith("1. ")] == [("1. quiet: a.jpg", "101.0")]
    assert said[-3:] == [
        ("The book", "250.5"),
        ("No book under this brief scores more than", "250.5"),
        ("Made chapter by chapter, each spread best by itself, it would score", "240.0"),
    ]


def test_a_line_of_many_names_is_broken_before_it_meets_its_points():
    made = book(1)
    frames = tuple(made.spreads[0].frames[0].model_copy(update={"path": f"morning/bowl-{n:03}.jpg"}) for n in range(30))
    made = made.model_copy(update={"spreads": (made.spreads[0].model_copy(update={"frames": frames}),)})
    (_, ledger) = overview_sheets(made, "A day")
    named = [word for word in ledger.words if "bowl-" in word.text]
    assert len(named) > 1
    assert max(width_of(word.text, 8) * 2.54 / 72 for word in named) <= 29.7 - 2 * 1.3 - 2.2
    assert [b.y - a.y for a, b in pairwise(named)] == pytest.approx([0.4] * (len(named) - 1))

"""Sheets of a template: they cover it, and neighbours share the overlap."""

import string

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.layout import Hung
from setsolver.layout.hooks import Hook
from setsolver.output.hanging.papers import PAPERS
from setsolver.output.hanging.template_pages import _letters
from setsolver.output.hanging.tiles import OVERLAP, STRIP, field_of, templates, tiles

papers = st.sampled_from(list(PAPERS.values()))


def frame(number, width, height, drop=5.0):
    return Hung(number, 10.0, 180.0, width, height, drop, (Hook(10.0 + width / 2, 180.0 - drop),))


@settings(deadline=None)
@given(width=st.floats(5, 150), height=st.floats(8, 150), paper=papers)
def test_sheets_cover_the_template_and_share_their_overlap(width, height, paper):
    (template,) = templates((frame(1, width, height),), 0.0, paper)
    field, sheets = field_of(paper), tiles(template, paper)
    columns, rows = 1 + max(t.column for t in sheets), 1 + max(t.row for t in sheets)
    assert len(sheets) == columns * rows
    last = sheets[-1]
    assert last.x + field.width >= template.width - 1e-6
    assert last.y + field.height >= template.height - 1e-6
    assert last.x < template.width
    for sheet in sheets:
        assert sheet.x == pytest.approx(sheet.column * (field.width - OVERLAP))
        assert sheet.y == pytest.approx(sheet.row * (field.height - OVERLAP))


def test_frames_of_one_size_share_a_template_and_hooks_lie_where_they_should():
    one, two = templates((frame(1, 44, 34), frame(2, 30, 20), frame(3, 44, 34)), 7.0, PAPERS["A4"])
    assert (one.numbers, two.numbers) == ((1, 3), (2,))
    assert (one.width, one.height, one.border, one.hooks) == (440, 340, 70, ((220, 50),))


def test_a_large_frame_is_drawn_down_to_below_its_hooks_only():
    (large,) = templates((frame(1, 120, 80),), 0.0, PAPERS["A4"])
    assert not large.whole
    assert large.height == 50 + STRIP
    assert large.frame_height == 800


def test_every_template_has_a_letter_of_its_own():
    """However many there are: sheets that are cut apart are put together by it."""
    letters = [_letters(number) for number in range(80)]
    assert "".join(letters[:26]) == string.ascii_uppercase
    assert len(set(letters)) == 80

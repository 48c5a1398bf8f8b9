"""Where a book's words stand, by hand: pages of 20 by 15 cm, 8 mm safe from the trim, 8 mm lost at the fold."""

from itertools import pairwise

import pytest

from setsolver.output.album import album_sheets, captions_left_out
from setsolver.output.album.typeface import width_of
from tests.output.album.books import album, picture

CM = 72 / 2.54  # points; ISO 32000-1, 8.3.2.3
LONG = "Bowls that were thrown in the yard behind the old kiln and dried under its roof"


def book(*frames, spread=0, title="Morning", captions=("", "")):
    """The book with these pictures on one spread."""
    made = album(captions)
    spreads = list(made.spreads)
    spreads[spread] = spreads[spread].model_copy(update={"frames": frames or spreads[spread].frames})
    chapters = (made.chapters[0].model_copy(update={"title": title}), *made.chapters[1:])
    return made.model_copy(update={"spreads": tuple(spreads), "chapters": chapters})


def words(made, *said, spread=0):
    return album_sheets(made, *said)[spread].words


@pytest.mark.parametrize(("x", "middle"), [(22, (0 + 19.6) / 2), (2, (20.4 + 40) / 2)])
def test_a_title_stands_in_the_middle_of_what_the_fold_leaves_of_the_empty_page(x, middle):
    title, *_ = words(book(picture("a.jpg", x, 3, 12, 8)), "A day", "The potter")
    assert (title.text, title.align, title.size) == ("A day", "middle", 26)
    assert (title.x, title.y) == pytest.approx((middle, 7.5))


def test_a_page_that_a_picture_just_touches_is_empty_and_one_that_it_enters_is_not():
    assert words(book(picture("a.jpg", 20, 3, 12, 8)), "A day")
    assert words(book(picture("a.jpg", 8, 3, 12, 8)), "A day")
    assert not words(book(picture("a.jpg", 19.9, 3, 12, 8)), "A day")
    assert not words(book(picture("a.jpg", 8.1, 3, 12, 8)), "A day")


def test_a_title_is_for_one_empty_page_only():
    assert not words(book(), "A day", spread=1)  # its picture takes both
    none = book()
    none = none.model_copy(update={"spreads": (none.spreads[0].model_copy(update={"frames": ()}), none.spreads[1])})
    assert not words(none, "A day")


def test_lines_of_a_title_lie_about_the_middle_of_the_page():
    lines = words(
        book(title="Chapter 1"), "A long day of bowls and jugs and a night of watches at the kiln under the hill"
    )
    ys = [line.y for line in lines]
    assert len(lines) > 2
    assert sum(ys) / len(ys) == pytest.approx(7.5)
    assert [b - a for a, b in pairwise(ys)] == pytest.approx([26 * 1.3 / CM] * (len(ys) - 1))


def test_a_word_that_is_too_wide_makes_a_title_as_small_as_it_must_be_and_no_smaller():
    wide = (20 - 2 * 0.8 - 0.8) * 0.86 * CM
    word = "Brennofenwaechterhaeuschenfensterrahmen"
    (line,) = words(book(title="Chapter 1"), word)
    assert width_of(word, line.size) <= wide < width_of(word, line.size + 1)
    lines = words(book(title="Chapter 1"), word * 9)
    assert lines[0].size <= 7.5 < lines[0].size + 1
    assert "".join(one.text for one in lines) == word * 9


def test_under_the_book_s_title_stand_the_chapter_s_and_who_made_it():
    title, name, by = words(book(), "A day", "The potter")
    assert (name.text, by.text, name.size) == ("Morning", "The potter", 9.5)
    assert title.y < name.y < by.y
    assert name.x == by.x == title.x
    assert by.y - name.y == pytest.approx(0.5)
    assert [one.text for one in words(book(title="Chapter 1"), "A day", "The potter")] == ["A day", "The potter"]


def test_a_chapter_s_name_stands_on_its_first_spread_unless_it_is_a_bare_number():
    (name,) = words(book())
    assert (name.text, name.size) == ("Morning", 15)
    assert not words(book(title="Chapter 1"))
    (second,) = words(book(picture("b.jpg", 22, 3, 12, 8), spread=1), "A day", "The potter", spread=1)
    assert (second.text, second.size) == ("Evening \u2014 the kiln", 15)


def test_a_caption_begins_under_its_picture_s_left_edge_and_takes_two_lines():
    first, second = (w for w in words(book(picture("a.jpg", 22, 3, 5, 8, caption=LONG))) if w.size == 7.5)
    assert (first.x, first.y) == pytest.approx((22, 11 + 0.34))
    assert (second.x, second.y) == pytest.approx((22, 11 + 0.34 + 7.5 * 1.3 / CM))
    assert max(width_of(w.text, 7.5) for w in (first, second)) <= 5 * CM


@pytest.mark.parametrize(("free", "lines"), [(0.33, 0), (0.35, 1), (0.67, 1), (0.69, 2), (4.0, 2)])
@pytest.mark.parametrize("below", [False, True])
def test_a_caption_has_the_lines_that_find_room_above_the_margin_or_the_next_picture(free, lines, below):
    """A line wants 3.4 mm to its base line, a further one 7.5 points times 1.3; 2.04 mm stay above a picture."""
    under = (picture("b.jpg", 22, 8 + free + 0.204, 12, 2),) if below else ()
    height = 5 if below else 15 - 0.8 - free - 3
    made = book(picture("a.jpg", 22, 3, 5, height, caption=LONG), *under, title="Chapter 1")
    assert len(words(made)) == lines
    assert captions_left_out(made) == (("a.jpg",) if lines == 0 else ())


def test_a_picture_beside_takes_no_room_from_a_caption():
    beside = picture("b.jpg", 27, 8.1, 5, 3), picture("c.jpg", 2, 8.1, 20, 3)
    assert len(words(book(picture("a.jpg", 22, 3, 5, 5, caption=LONG), *beside))) == 2

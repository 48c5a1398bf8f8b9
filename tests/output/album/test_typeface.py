"""Words of a book's captions as lines of a width, in points."""

from setsolver.output.album.typeface import width_of, wrapped


def test_a_word_that_is_wider_than_a_line_begins_on_a_line_of_its_own_and_is_broken():
    room = width_of("mmmm", 10)
    lines = wrapped("a mmmmmmmmm b", 10, room)
    assert lines == ["a", "mmmm", "mmmm", "m b"]
    assert wrapped("mmmmmm", 10, room) == ["mmmm", "mm"]


def test_lines_hold_what_just_fits_and_no_more():
    room = width_of("one two", 10)
    assert wrapped("one two three", 10, room) == ["one two", "three"]
    assert wrapped("one two three", 10, room - 0.01)[:2] == ["one", "two"]
    assert wrapped("", 10, room) == []
    assert all(width_of(line, 10) <= room for line in wrapped("clay and water and fire " * 4, 10, room))

"""Briefs that name frames which left the catalog."""

import pytest

from setsolver.domain.brief import Brief
from setsolver.usecases.gone import without_gone

THERE = {"a/1.jpg", "a/2.jpg", "b/[3].jpg"}


def named(*paths, globs=()):
    return Brief(
        name="shelf",
        size=3,
        frames={"include": (*paths[:2], *globs), "exclude": paths[2:], "slots": dict.fromkeys(paths, "wide")},
        crops={path: {"x": 0.5, "y": 0.5} for path in paths},
    )


def test_a_brief_of_which_all_is_there_stays_the_very_same():
    brief = named("a/1.jpg", "b/[3].jpg", "a/2.jpg", globs=("a/*",))
    assert without_gone(brief, THERE) == (brief, ())
    assert without_gone(brief, THERE)[0] is brief


@pytest.mark.parametrize("gone", ["a/9.jpg", "b/[4].jpg"])
def test_what_is_gone_is_named_nowhere_any_more(gone):
    left, told = without_gone(named("a/1.jpg", gone, "a/2.jpg", "b/8.jpg", globs=("a/*",)), THERE)
    assert told == (gone, "b/8.jpg")
    assert left.frames.include == ("a/1.jpg", "a/*")
    assert left.frames.exclude == ("a/2.jpg",)
    assert set(left.frames.slots) == set(left.crops) == {"a/1.jpg", "a/2.jpg"}


def test_a_glob_that_finds_nothing_any_more_goes_too():
    left, told = without_gone(named("a/1.jpg", globs=("c/*",)), THERE)
    assert (left.frames.include, told) == (("a/1.jpg",), ("c/*",))

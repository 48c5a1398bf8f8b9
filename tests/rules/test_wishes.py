"""Include and exclude by path and glob."""

from unicodedata import normalize

import pytest

from setsolver.errors import BadBrief
from setsolver.rules import assemble
from setsolver.rules.wishes import matching
from tests.rules.brute import paths_of
from tests.rules.builders import make_brief, make_frame, make_snapshot

PATHS = ("yard/a.jpg", "yard/b.jpg", "kiln/a.jpg", "kiln/[1].jpg")


def assembled(**wishes):
    frames = (make_frame(i, path=path) for i, path in enumerate(PATHS))
    return assemble(make_snapshot(*frames), make_brief(size=2, frames=wishes))


def test_trivial_no_wish_no_rule():
    assert len(paths_of(assembled())) == 6


def test_feasible_included_frames_are_in_and_excluded_ones_out():
    sets = paths_of(assembled(include=["kiln/a.jpg"], exclude=["yard/*"]))
    assert sets == {frozenset({"kiln/a.jpg", "kiln/[1].jpg"})}


def test_infeasible_wishes_that_other_rules_forbid_are_left_to_the_solver():
    frames = [make_frame(i, path=path, moment=7) for i, path in enumerate(PATHS)]
    brief = make_brief(size=2, frames={"include": ["yard/*"]})
    assembly = assemble(make_snapshot(*frames), brief)
    assert paths_of(assembly) == set()
    assert assembly.says("include[0]") == "yard/a.jpg must be in (include)"
    assert assembly.says("group_cap[0]") == "at most 1 frame of one moment"


def test_an_unknown_path_is_told_with_the_nearest_ones():
    with pytest.raises(BadBrief, match=r'frames.include: no frame .* "yard/aa.jpg"; did you mean "yard/a.jpg"'):
        assembled(include=["yard/aa.jpg"])


def test_a_glob_that_fits_nothing_is_told():
    with pytest.raises(BadBrief, match=r'frames.exclude: .* "attic/\*"'):
        assembled(exclude=["attic/*"])


def test_a_frame_in_both_lists_is_told():
    with pytest.raises(BadBrief, match=r'"kiln/a.jpg" is in both'):
        assembled(include=["kiln/a.jpg"], exclude=["kiln/*.jpg"])


def test_more_included_than_the_size_is_told():
    with pytest.raises(BadBrief, match=r"4 frames for a set of 2"):
        assembled(include=["*"])


def test_excluded_frames_are_counted_and_have_a_reason():
    assembly = assembled(exclude=["yard/*"])
    assert [(out.rule, out.frames, out.examples) for out in assembly.ruled_out] == [("exclude", 2, PATHS[:2])]
    assert set(assembly.reasons) == {0, 1}


def test_a_path_is_taken_as_written_before_it_is_taken_as_a_glob():
    assert matching("kiln/[1].jpg", list(PATHS)) == [3]
    assert matching("yard/*", list(PATHS)) == [0, 1]
    assert matching("*.jpg", list(PATHS)) == [0, 1, 2, 3]
    assert matching("YARD/*", list(PATHS)) == []


def test_accents_count_as_the_same_in_either_form():
    """As macOS gives them to names, and keyboards to briefs (Unicode, UAX 15, forms D and C)."""
    listed = [normalize("NFD", "misa-é.jpg"), "other.jpg", normalize("NFD", "misa-è.jpg")]
    assert matching("misa-é.jpg", listed) == [0]
    assert matching("misa-[éx].jpg", listed) == [0]
    assert matching("misa-?.jpg", listed) == [0, 2]
    assert matching("MISA-é.jpg", listed) == []


def test_a_glob_is_not_taken_for_the_name_that_it_fits():
    assert matching("a[1].jpg", ["a1.jpg", "a[1].jpg"]) == [1]
    assert matching("a[1].jpg", ["a1.jpg", "b.jpg"]) == [0]

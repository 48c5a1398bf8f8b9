"""Where measures come from: order, versions, and what is due."""

from dataclasses import dataclass
from graphlib import CycleError

import pytest

from setsolver.domain.measures import Measures
from setsolver.domain.origin import due, fingerprint, in_order, later, measured, origins, waiting


@dataclass
class Small:
    """A record of few measures."""

    verdict: int = measured("1", "look", "slow", pixels=False)
    look: int = measured("3")
    slow: int | None = measured("1", "look", later=True, default=None)
    apart: int = measured("1", default=0)


NOW = "apart=1 look=3 slow=1 verdict=1"


def test_what_others_are_told_from_comes_first():
    order = list(origins(Small))
    assert order.index("look") < order.index("slow") < order.index("verdict")
    assert in_order(Small, {"verdict", "look"}) == ("look", "verdict")


def test_a_circle_is_refused():
    @dataclass
    class Round:
        one: int = measured("1", "two")
        two: int = measured("1", "one")

    with pytest.raises(CycleError):
        origins(Round)


def test_the_fingerprint_names_each_version_and_leaves_out_what_is_left_out():
    assert fingerprint(Small) == NOW
    assert fingerprint(Small, later(Small)) == "apart=1 look=3 verdict=1"


@pytest.mark.parametrize(
    ("known", "expected"),
    [
        (NOW, set()),
        (NOW.replace("apart=1", "apart=0"), {"apart"}),
        (NOW.replace("look=3", "look=2"), {"look", "slow", "verdict"}),
        ("apart=1 look=3 verdict=1", {"slow", "verdict"}),
        (NOW + " gone=4", set()),
        ("", {"apart", "look", "slow", "verdict"}),
        ("7", {"apart", "look", "slow", "verdict"}),
    ],
    ids=["nothing", "one by itself", "what others read", "left for later", "a field that is gone", "empty", "of old"],
)
def test_what_changed_is_due_and_all_that_is_told_from_it(known, expected):
    assert due(Small, known) == expected


def test_a_frame_has_one_slow_look_and_heads_need_no_pixels():
    assert "clip" in later(Measures)
    assert not origins(Measures)["quality"].pixels


@dataclass
class Asked:
    """A record of which two optional fields are told from what is slow, one of them through the other."""

    look: int = measured("1")
    verdict: int = measured("1", "slow")
    slow: int | None = measured("1", "look", later=True, default=None)
    told: int | None = measured("1", "slow", "look", default=None)
    retold: int | None = measured("1", "told", default=None)
    apart: int | None = measured("1", "look", default=None)


@pytest.mark.parametrize(("left", "expected"), [({"slow"}, {"told", "retold"}), (set(), set()), ({"verdict"}, set())])
def test_what_is_optional_waits_for_what_it_is_told_from(left, expected):
    assert waiting(Asked, left) == expected

"""What to shoot before leaving: the fewest frames, by role, checked by adding them."""

from types import SimpleNamespace

import pytest

from setsolver.errors import BadBrief
from setsolver.usecases import gaps as module
from setsolver.usecases.gaps import gaps
from setsolver.usecases.suggest import suggest
from tests.rules.builders import make_brief, make_frame, make_shoot, make_snapshot

ROLES = {"wide": [1, 1], "medium": [1, 1], "close": [1, 1]}


def lacking(document):
    return {one["role"]: one["frames"] for one in document["missing"]}


def test_nothing_is_missing_where_a_set_exists_and_the_thinnest_role_comes_first():
    document = gaps(make_shoot(12), make_brief(roles=ROLES))
    assert document["possible"]
    assert not document["missing"]
    gained = [one["points"] for one in document["thin"]]
    assert gained == sorted(gained, reverse=True)
    assert {one["role"] for one in document["thin"]} == set(ROLES)


def test_missing_roles_are_counted_and_the_look_is_that_of_the_frames():
    document = gaps(make_snapshot(*(make_frame(i, "wide") for i in range(4))), make_brief(roles=ROLES))
    assert not document["possible"]
    assert lacking(document) == {"medium": 1, "close": 1}
    look = document["missing"][0]["look"]
    assert look["mid"] == pytest.approx(48, abs=4)
    assert list(look) == ["black", "mid", "white", "cast_a", "cast_b"]  # the brief asks for no vignette and no grain


def test_shooting_what_is_missing_makes_a_set():
    frames = [make_frame(i, "wide") for i in range(4)]
    brief = make_brief(roles=ROLES)
    missing = gaps(make_snapshot(*frames), brief)["missing"]
    shot = [make_frame(4 + i, one["role"]) for i, one in enumerate(missing)]
    assert suggest(make_snapshot(*frames, *shot), brief).status == "proven"


def test_a_catalog_smaller_than_the_set_is_short_not_wrong():
    document = gaps(make_shoot(2), make_brief(roles=ROLES))
    assert lacking(document) == {"close": 1}
    assert "no fewer" in document["says"]


def test_tones_that_clash_need_another_frame_in_the_look():
    frames = [make_frame(0, "wide"), make_frame(1, "medium"), make_frame(2, "close", look=(40.0, 70.0, 99.0, 0.0, 0.0))]
    document = gaps(make_snapshot(*frames), make_brief(roles=ROLES))
    assert sum(lacking(document).values()) == 1
    assert document["conflict"]


def test_an_empty_catalog_says_to_shoot_first():
    with pytest.raises(BadBrief, match="shoot first"):
        gaps(make_snapshot(), make_brief())


def test_the_clash_speaks_of_the_brief_s_own_numbers():
    frames = [make_frame(i, "wide", look=(8.0 + 20 * i, 48.0, 92.0, 0.0, 0.0)) for i in range(4)]
    document = gaps(make_snapshot(*frames), make_brief())
    assert any(clash["says"] == "the set has 3 frames" for clash in document["conflict"])


@pytest.mark.parametrize(
    ("answers", "says"), [((None, True), "fewer might be enough"), ((False, True), "no fewer is enough")]
)
def test_no_claim_is_made_where_a_smaller_number_was_not_ruled_out(monkeypatch, answers, says):
    """The question whether one frame would do may end without an answer."""
    told = iter(answers)
    monkeypatch.setattr(module, "possible", lambda _rules: SimpleNamespace(answer=next(told)))
    frames = [make_frame(i, "wide") for i in range(4)]
    document = gaps(make_snapshot(*frames), make_brief(roles=ROLES))
    assert lacking(document) == {"medium": 1, "close": 1}
    assert says in document["says"]

"""What the wall of three makes of the demo catalog (truth: demo_catalog/truth.json)."""

import pytest

import setsolver

pytestmark = pytest.mark.slow


def brief(**changed):
    """The wall of three, with parts of it replaced."""
    whole = setsolver.Brief.load("wall-three").model_dump()
    return setsolver.Brief.model_validate(whole | changed)


@pytest.fixture(scope="module")
def outcome(catalog):
    return setsolver.suggest(catalog, brief(), alternates=2)


def test_a_set_is_found_and_proven(outcome):
    assert outcome.status == "proven"
    assert [frame.role for frame in outcome.best.frames] == ["medium", "wide", "close"]
    assert outcome.best.layout.says.endswith("the odd one of them in the middle")


def test_frames_that_clash_with_every_look_are_never_chosen(outcome, known):
    clashing = {path for path, truth in known.items() if "clashes with every look" in truth["faults"]}
    assert len(clashing) == 2
    for found in outcome.sets:
        assert clashing.isdisjoint(frame.path for frame in found.frames)


def test_no_set_shows_a_burst_or_the_twins_twice(outcome, known):
    for found in outcome.sets:
        for key in ("burst", "near_duplicate"):
            shown = [known[frame.path][key] for frame in found.frames if known[frame.path][key]]
            assert len(shown) == len(set(shown))


def test_a_crop_of_the_large_frame_plays_the_close_role_where_the_close_frames_are_barred(catalog, frames, known):
    """It is medium as a whole by truth.json, and has the pixels for a crop that is not.

    Barred is what is close by truth.json, and what else could be read as close.
    """
    large = next(path for path, truth in known.items() if max(truth["size"]) == 6000)
    close = [path for path, truth in known.items() if truth["scale"] == "close" or frames[path].odds.close > 0.3]
    close = [path for path in close if path != large]
    each = dict.fromkeys(("wide", "medium", "close"), (1, 1))
    wished = brief(roles=each, frames={"exclude": close, "include": [large]}, weights={"role": 80, "kept": 0})
    found = setsolver.suggest(catalog, wished, alternates=0).best
    assert found is not None
    played = next(frame for frame in found.frames if frame.path == large)
    assert (played.role, played.rendition) == ("close", "tighter")
    assert played.crop[2] < 0.8
    assert played.ppi >= 2 * brief().min_ppi


def test_a_story_opens_on_the_place_and_its_evening_stands_last(catalog):
    """A day at the pottery; before the evening a print may stand out of its hour, which judges of orders allow."""
    best = setsolver.suggest(catalog, brief=setsolver.Brief.load("story-eight"), alternates=0).best
    assert best.frames[0].role == "wide"
    assert "opening wide" in best.layout.says
    evening = [frame.path.startswith("3-evening") for frame in best.frames]
    assert 2 <= sum(evening) < len(evening)
    assert evening == sorted(evening)

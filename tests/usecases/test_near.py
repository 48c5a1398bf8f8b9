"""Near misses and the nearest brief that works, against sets asked for anew."""

import pytest

from setsolver.usecases.brief_file import brief_text_of
from setsolver.usecases.briefs import parse_brief
from setsolver.usecases.near import steps_out
from setsolver.usecases.session import Session
from setsolver.usecases.suggest import suggest
from tests.rules.builders import make_brief, make_frame, make_snapshot

NAMES = ("wide", "medium", "close")


def shoot(*, good, short=0, pixels=1700):
    """Return plain frames, and ``short`` better ones of few pixels: 1,700 serve 28 cm at 150 pixels per inch."""
    frames = [make_frame(n, NAMES[n % 3], quality=0.4) for n in range(good)]
    frames += [make_frame(good + n, NAMES[n % 3], quality=0.95, size=(pixels, pixels * 2 // 3)) for n in range(short)]
    return make_snapshot(*frames)


def test_a_smaller_print_that_lets_better_frames_in_is_a_near_miss():
    session = Session(shoot(good=9, short=3), make_brief(roles={name: [1, 1] for name in NAMES}))
    outcome = session.prices()
    (miss,) = outcome.near
    assert (miss.key, miss.value, miss.frames, miss.proven) == ("print_cm", 28.0, 3, True)
    smaller = suggest(session.snapshot, make_brief(print_cm=28, roles={name: [1, 1] for name in NAMES}))
    assert miss.points == pytest.approx(smaller.best.score - outcome.best.score)
    assert miss.says == f"at 28 cm 3 more frames count and the best set gains {miss.points:.1f} points"


def test_nothing_is_near_where_smaller_prints_let_nobody_in():
    session = Session(shoot(good=9, short=3, pixels=900), make_brief())
    assert session.outcome(alternates=0, prices=True).near == ()


def test_nothing_is_near_where_newcomers_are_no_better():
    frames = [make_frame(n, NAMES[n % 3], quality=0.9) for n in range(9)]
    frames.append(make_frame(9, "wide", quality=0.1, size=(1700, 1133)))
    session = Session(make_snapshot(*frames), make_brief())
    assert session.outcome(alternates=0, prices=True).near == ()


def test_a_smaller_print_of_one_slot_alone_is_a_near_miss():
    """The lead is 30 cm wide, all else 20; 1,700 pixels serve 28 cm at 150 pixels per inch."""
    slots = [{"name": "lead", "role": "wide", "print_cm": 30}, {"role": "medium"}, {"role": "close"}]
    frames = [make_frame(n, NAMES[n % 3], quality=0.4) for n in range(9)]
    frames.append(make_frame(9, "wide", quality=0.95, size=(1700, 1133)))
    outcome = Session(make_snapshot(*frames), make_brief(print_cm=20, roles={}, slot=slots)).prices()
    (miss,) = outcome.near
    assert (miss.key, miss.value, miss.frames, miss.proven) == ("slot[0].print_cm", 28.0, 1, True)
    slots[0]["print_cm"] = 28
    smaller = suggest(make_snapshot(*frames), make_brief(print_cm=20, roles={}, slot=slots))
    assert miss.points == pytest.approx(smaller.best.score - outcome.best.score)


def works(session):
    """Return the nearest brief, proven to have a set, and its step."""
    assert session.solve().best is None
    near = session.nearest()
    assert near is not None
    assert suggest(session.snapshot, near.brief).best is not None
    return near


def test_the_nearest_brief_asks_for_fewer_of_a_role():
    near = works(Session(shoot(good=6), make_brief(size=4, roles={"wide": [3, 4], "close": [0, 4]})))
    assert near.brief.roles["wide"].count == (2, 4)
    assert near.step.says == "with at least 2 wide frames"


def test_the_nearest_brief_has_smaller_prints_where_these_lack_the_pixels():
    near = works(Session(shoot(good=2, short=4), make_brief()))
    assert near.step.key == "print_cm"
    assert near.brief.print_cm == 28


def test_the_nearest_brief_reaches_farther():
    frames = [make_frame(n, look=(8.0, mid, 92.0, 0.0, 0.0)) for n, mid in enumerate((30.0, 50.0, 70.0))]
    brief = make_brief(tone={"reach": {"black": 6, "mid": 12, "white": 8, "cast": 5}})
    near = works(Session(make_snapshot(*frames), brief))
    assert near.step.key == "tone.reach.mid"
    assert near.brief.tone.reach.mid == pytest.approx(17.0, abs=0.2)  # the mid tones measured are 0.1 off
    assert near.brief.tone.reach.black == 6


def test_the_nearest_brief_takes_more_of_a_scene():
    frames = [make_frame(n, scene=0) for n in range(4)]
    near = works(Session(make_snapshot(*frames), make_brief(repeats={"scene": 2})))
    assert near.brief.repeats.scene == 3


def test_the_nearest_brief_drops_a_wish_that_has_no_place():
    session = Session(shoot(good=9), make_brief(roles={"close": [3, 3]}))
    session.pin("frame-0000.jpg")
    near = works(session)
    assert near.brief.frames.include == ()
    assert near.step.says == "without the wish for frame-0000.jpg"


def test_a_brief_with_a_set_has_no_nearest():
    assert Session(shoot(good=9), make_brief()).nearest() is None


def test_where_no_single_step_helps_none_is_offered():
    session = Session(shoot(good=3, short=0), make_brief(roles={"x": {"count": [3, 3], "match": "keyword:none"}}))
    assert session.nearest() is None
    assert list(steps_out(session, ())) == []


def test_a_nearest_brief_can_be_written_and_read():
    near = works(Session(shoot(good=6), make_brief(size=4, roles={"wide": [3, 4], "close": [0, 4]})))
    assert parse_brief(brief_text_of(near.brief, "nearest\nof all")) == near.brief


def test_ways_out_are_offered_where_rules_clash_and_none_where_a_set_exists():
    clashing = Session(shoot(good=6), make_brief(size=4, roles={"wide": [3, 4], "close": [0, 4]}))
    ways = list(clashing.ways_out())
    assert ways[0].step == clashing.nearest().step
    assert all(suggest(clashing.snapshot, way.brief).best is not None for way in ways)
    assert list(Session(shoot(good=9), make_brief()).ways_out()) == []


def test_prints_far_smaller_are_farther_than_a_reach_that_hardly_grows():
    """30 cm to 18 is another print; a reach of mid tones by 3 L* more is hardly seen."""
    frames = [make_frame(n, look=(8.0, mid, 92.0, 0.0, 0.0), quality=0.4) for n, mid in enumerate((40.0, 47.8, 55.6))]
    frames += [make_frame(3 + n, NAMES[n % 3], quality=0.95, size=(1100, 733)) for n in range(3)]
    session = Session(make_snapshot(*frames), make_brief(tone={"reach": {"mid": 1}}, roles={}))
    ways = list(session.ways_out())
    assert {"tone.reach.mid", "print_cm"} <= {way.step.key for way in ways}
    assert ways[0].step.key == "tone.reach.mid"
    smaller = next(way for way in ways if way.step.key == "print_cm")
    assert smaller.brief.print_cm == 18
    assert smaller.step.far > ways[0].step.far


def test_a_brief_that_asks_for_more_pixels_than_any_frame_has_finds_a_way_out():
    """6,000 pixels serve 16.9 cm at 900 pixels per inch, or 30 cm at 508."""
    session = Session(shoot(good=6), make_brief(min_ppi=900))
    near = works(session)
    assert (near.step.key, near.step.value) == ("min_ppi", 300)
    assert near.step.says == "at 300 pixels per inch"
    smaller = next(way for way in session.ways_out() if way.step.key == "print_cm")
    assert smaller.brief.print_cm <= 16.9
    assert suggest(session.snapshot, smaller.brief).best is not None


def test_a_slot_that_asks_for_more_pixels_than_any_frame_has_finds_a_way_out():
    slots = [{"name": "lead", "role": "wide", "print_cm": 60, "min_ppi": 400}, {"role": "medium"}, {"role": "close"}]
    near = works(Session(shoot(good=9), make_brief(print_cm=20, roles={}, slot=slots)))
    assert near.step.key in {"slot[0].min_ppi", "slot[0].print_cm"}


@pytest.mark.parametrize(("ppi", "first"), [(900, 300), (301, 300), (300, 240), (150, 120), (100, None)])
def test_fewer_pixels_per_inch_are_those_that_prints_are_made_at(ppi, first):
    steps = list(steps_out(Session(shoot(good=0, short=3, pixels=300), make_brief(min_ppi=ppi)), ()))
    found = [step for step in steps if step.key == "min_ppi"]
    assert (found[0].value if found else None) == first
    assert [step.far for step in found] == sorted(step.far for step in found)
    assert all(step.far >= 1 for step in found)

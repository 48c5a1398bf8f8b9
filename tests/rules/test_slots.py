"""Slots: prints of several aspects and sizes in one set; every slot a column that asks its own aspect and pixels."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.domain.brief import Brief
from setsolver.domain.slot import Slot, pixels_needed
from setsolver.errors import TooFewFrames
from setsolver.rules import assemble, ledger
from setsolver.rules.roles import LEAST_ODDS
from setsolver.solver import solve
from setsolver.usecases.briefs import load_brief
from setsolver.usecases.gaps import gaps
from setsolver.usecases.suggest import suggest
from tests.rules.brute import valid_sets
from tests.rules.builders import make_brief, make_frame, make_random_snapshot, make_snapshot
from tests.solver.highs import by_highs
from tests.solver.small import scored

LEAD = {"name": "lead", "role": "wide", "aspect": "3:2", "print_cm": 60, "min_ppi": 100}
UPRIGHT = {"name": "upright", "role": "medium", "aspect": "2:3", "print_cm": 30, "min_ppi": 150, "count": 2}


def brief(*slots, **changes):
    least = sum(slot.get("count", 1) for slot in slots)
    return make_brief(size=least, slot=list(slots), **changes)


def shoot(*scales, **same):
    return make_snapshot(*(make_frame(i, scale, **same) for i, scale in enumerate(scales)))


def test_trivial_roles_of_one_print_are_slots_that_share_it():
    short = make_brief(roles={"wide": [1, 1], "medium": [2, 2]}, aspect="1:1", print_cm=20, min_ppi=100)
    long = make_brief(
        aspect="1:1", print_cm=20, min_ppi=100, slot=[{"role": "wide"}, {"role": "medium", "count": [2, 2]}]
    )
    assert short.slots == long.slots
    assert short.slots[1] == Slot("medium", "medium", None, 2, 2, "1:1", 20, 100)
    snapshot = make_random_snapshot(12, 4)
    one, other = (assemble(snapshot, given).problem.to_arrays() for given in (short, long))
    for key, array in one.items():
        np.testing.assert_array_equal(array, other[key])


def test_feasible_each_print_has_its_slots_aspect_and_size():
    found = suggest(shoot("wide", "medium", "medium", "close"), brief(LEAD, UPRIGHT), alternates=0).best
    assert [(frame.slot, frame.role, frame.aspect, frame.print_cm) for frame in found.frames] == [
        ("lead", "wide", "3:2", 60),
        ("upright", "medium", "2:3", 30),
        ("upright", "medium", "2:3", 30),
    ]
    assert [(frame.position.width_cm, frame.position.height_cm) for frame in found.frames] == [
        pytest.approx((60, 40)),
        pytest.approx((20, 30)),
        pytest.approx((20, 30)),
    ]
    for frame in found.frames:
        assert frame.crop_width / frame.crop_height == pytest.approx(3 / 2 if frame.slot == "lead" else 2 / 3, rel=1e-3)
        assert frame.ppi == pytest.approx(max(frame.crop_width, frame.crop_height) / (frame.print_cm / 2.54))
    assert found.frames[0].lead


def test_infeasible_nobody_has_the_pixels_for_the_lead_and_what_to_shoot_says_how_many_it_needs():
    snapshot, asked = shoot("wide", "medium", "medium", size=(2300, 3450)), brief(LEAD, UPRIGHT)
    outcome = suggest(snapshot, asked)
    assert outcome.status == "none"
    assert any("lead" in clash.says for clash in outcome.conflict)
    missing = gaps(snapshot, asked)["missing"]
    assert [one["role"] for one in missing] == ["lead"]
    assert missing[0]["says"].startswith("shoot 1 lead frame, sharp, 3:2")
    assert f"at least {pixels_needed(60, 100)} pixels" in missing[0]["says"]


def test_a_frame_with_pixels_for_one_slot_only_plays_that_one():
    slots = [{"role": "medium", "name": "large", "print_cm": 60}, {"role": "medium", "name": "small", "print_cm": 20}]
    assembly = assemble(make_snapshot(make_frame(0), make_frame(1, size=(1500, 1000))), brief(*slots))
    gain = assembly.problem.gain
    largest = [i for i, rendition in enumerate(assembly.renditions) if rendition.kind == "largest"]
    assert np.isnan(gain[largest]).tolist() == [[False, False], [True, False]]


def test_a_crop_plays_no_slot_of_another_aspect():
    assembly = assemble(shoot("medium", "medium", "medium"), brief(LEAD | {"role": "medium"}, UPRIGHT))
    able = ~np.isnan(assembly.problem.gain)
    assert able.sum(axis=1).max() == 1
    assert able.any(axis=0).all()


def test_a_slot_with_a_match_takes_whom_it_matches_and_is_called_after_it():
    kiln = {"match": "keyword:kiln", "print_cm": 40}
    snapshot = make_snapshot(make_frame(0, "wide"), make_frame(1, "close", keywords=("kiln",)))
    found = suggest(snapshot, brief({"role": "wide"}, kiln), alternates=0).best
    assert [(frame.slot, frame.print_cm) for frame in found.frames] == [("wide", 30), ("kiln", 40)]
    assert any("it fits keyword:kiln" in line.says for line in found.ledger)


def test_what_cannot_play_any_slot_hears_what_they_take():
    assembly = assemble(shoot("wide", "medium", "medium", "close"), brief(LEAD, UPRIGHT))
    says = "it cannot pass as wide at 3:2 and 60 cm (lead) or medium at 2:3 and 30 cm (upright)"
    assert assembly.reasons[3].startswith(says)


slots = st.builds(
    lambda kinds: [{**kind, "name": f"slot {i}"} for i, kind in enumerate(kinds)],
    st.lists(
        st.fixed_dictionaries(
            {
                "role": st.sampled_from(["wide", "medium", "close"]),
                "count": st.sampled_from([[0, 1], [1, 1], [0, 2], [1, 2]]),
                "aspect": st.sampled_from(["3:2", "2:3", "1:1"]),
                "print_cm": st.sampled_from([15, 30, 60]),
                "min_ppi": st.sampled_from([50, 100, 150]),
            }
        ),
        min_size=1,
        max_size=3,
    ),
)


def asked(kinds, size=2):
    most = sum(kind["count"][1] for kind in kinds)
    least = sum(kind["count"][0] for kind in kinds)
    return make_brief(size=max(1, least, min(size, most)), slot=kinds)


@settings(max_examples=25, deadline=None)
@given(slots, st.integers(0, 10_000))
def test_who_plays_a_slot_has_its_aspect_and_its_pixels(kinds, seed):
    assembly = assemble(make_random_snapshot(20, seed), asked(kinds), modest=True)
    for row, column in np.argwhere(~np.isnan(assembly.problem.gain)):
        rendition, slot = assembly.renditions[row], assembly.slots[column]
        frame = rendition.frame
        assert rendition.crop.w * frame.aspect / rendition.crop.h == pytest.approx(slot.ratio)
        assert max(rendition.width, rendition.height) >= slot.pixels
        assert getattr(rendition.odds, slot.role) >= LEAST_ODDS


@settings(max_examples=15, deadline=None)
@given(slots, st.integers(0, 10_000))
def test_the_engine_finds_what_trying_all_finds(kinds, seed):
    snapshot, wanted = make_random_snapshot(6, seed), asked(kinds)
    try:
        assembly = assemble(snapshot, wanted, modest=True)
    except TooFewFrames:  # no frame at all is left; test_size has that
        return
    if len(np.unique(assembly.problem.frame)) < wanted.size:
        return
    least, most = ([getattr(slot, end) for slot in wanted.slots] for end in ("least", "most"))
    problem = assembly.problem.replaced(size=wanted.size, role_min=least, role_max=most)
    tried = max((scored(problem, c, r) for c, r, _ in valid_sets_of(assembly, problem)), default=None)
    best = solve(problem).best
    assert (best is None) == (tried is None)
    if best is not None:
        assert best.score == pytest.approx(tried, abs=1e-6)
        found = assembly.chosen_set(best.chosen, best.roles, best.look)
        assert assembly.score(found.phi) == pytest.approx(best.score, abs=1e-6)


def valid_sets_of(assembly, problem):
    return valid_sets(type("Bare", (), {"problem": problem})())


@pytest.mark.parametrize("seed", range(4))
def test_the_engine_finds_what_highs_finds_where_the_problem_is_linear(seed):
    given_ = make_brief(
        size=4,
        slot=[LEAD, UPRIGHT, {"role": "close", "aspect": "1:1", "print_cm": 20}],
        repeats={"moment": 2},
        weights={"variety": 0},
        tone={"reach": {"black": 20, "mid": 40, "white": 20, "cast": 20}},
    )
    problem = assemble(make_random_snapshot(40, seed, faces=False), given_).problem
    assert solve(problem).best.score == pytest.approx(by_highs(problem), abs=1e-5)


def test_the_ledger_adds_up_over_slots():
    assembly = assemble(make_random_snapshot(40, 2, faces=False), brief(LEAD, UPRIGHT))
    best = solve(assembly.problem).best
    lines = ledger(assembly, best.chosen, best.roles, best.look)
    assert sum(line.points for line in lines) == pytest.approx(best.score, abs=1e-6)
    assert any("as lead" in line.says for line in lines)


# The brief that comes along: one print of 60 by 40 cm, four uprights of 20 by 30.
SHAPE = ("wide", "medium", "medium", "close", "close")


def test_lead_and_four_trivial_five_frames_of_the_right_scales_are_the_set():
    found = suggest(shoot(*SHAPE), load_brief("lead-and-four"), alternates=0).best
    sizes = {f.slot: (round(f.position.width_cm), round(f.position.height_cm)) for f in found.frames}
    assert sizes == {"lead": (60, 40), "upright": (20, 30), "detail": (20, 30)}
    # in the order of the wall: two uprights, the lead in the middle, two more
    assert [frame.slot for frame in found.frames] == ["upright", "upright", "lead", "detail", "detail"]


def test_lead_and_four_feasible_the_lead_is_the_frame_that_has_the_pixels():
    frames = [make_frame(i, scale, size=(1300, 1950)) for i, scale in enumerate(SHAPE)]
    large = make_frame(5, "wide", size=(6000, 4000), quality=0.1)
    found = suggest(make_snapshot(*frames, large), load_brief("lead-and-four"), alternates=0).best
    assert [frame.path for frame in found.frames if frame.slot == "lead"] == ["frame-0005.jpg"]


def test_lead_and_four_infeasible_without_a_wide_frame_it_says_what_to_shoot():
    shortfall = gaps(shoot(*["medium"] * 4, *["close"] * 4), load_brief("lead-and-four"))
    assert not shortfall["possible"]
    assert [(one["role"], one["frames"]) for one in shortfall["missing"]] == [("lead", 1)]


def test_briefs_of_slots_survive_json():
    given_ = brief(LEAD, UPRIGHT)
    assert Brief.model_validate_json(given_.model_dump_json()) == given_
    assert given_.role_names == ("lead", "upright")

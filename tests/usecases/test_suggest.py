"""The main job on made-up shoots: proven sets, ledgers that add up, alternates that differ, answers without a set."""

from dataclasses import replace
from math import isnan

import numpy as np
import pytest

from setsolver.domain.measures import CLIP_SIZE, Clip
from setsolver.domain.outcome import Outcome
from setsolver.errors import BadBrief
from setsolver.features.ends import ends_seen
from setsolver.features.twins import centred, twin_means, twin_signatures
from setsolver.layout import arrange
from setsolver.rules import assemble
from setsolver.rules.registry import weight_names
from setsolver.usecases import outcome as outcomes
from setsolver.usecases.session import default_difference
from setsolver.usecases.suggest import suggest
from tests.rules.builders import make_brief, make_frame, make_random_snapshot, make_shoot, make_snapshot

ROLES = {"wide": [1, 1], "medium": [1, 1], "close": [1, 1]}


def test_every_set_is_proven_and_its_ledger_adds_up():
    outcome = suggest(make_random_snapshot(40, seed=3, faces=False), make_brief())
    assert outcome.status == "proven"
    assert len(outcome.sets) >= 3
    for found in outcome.sets:
        assert found.proven
        assert sum(line.points for line in found.ledger) == pytest.approx(found.score, abs=1e-6)
        assert all(line.says for line in found.ledger)


def test_the_best_set_comes_first_and_all_differ_by_half_unless_told():
    outcome = suggest(make_shoot(18), make_brief(roles=ROLES), alternates=3)
    scores = [found.score for found in outcome.sets]
    assert scores[0] == max(scores)
    assert [found.kind for found in outcome.sets][:2] == ["best", "differs"]
    paths = [{frame.path for frame in found.frames} for found in outcome.sets]
    assert all(len(a & b) <= 1 for i, a in enumerate(paths) for b in paths[:i])


def test_every_frame_has_pixels_role_place_and_a_correction_that_ends_within_the_slack():
    brief = make_brief(roles=ROLES)
    found = suggest(make_random_snapshot(40, seed=5), brief).sets[0]
    for frame in found.frames:
        assert frame.ppi >= brief.min_ppi
        assert frame.position.width_cm == pytest.approx(brief.print_cm)
        for axis in ("black", "mid", "white", "cast_a", "cast_b"):
            after = getattr(frame.tone, axis) + getattr(frame.correction, axis)
            slack = getattr(brief.tone.slack, axis.split("_")[0])
            assert abs(after - getattr(found.look, axis)) <= slack + 1e-9
    assert sum(frame.lead for frame in found.frames) == 1


def test_each_print_is_arranged_by_what_clip_says_of_itself(monkeypatch):
    rng, empty = np.random.default_rng(0), make_random_snapshot(12, seed=2, faces=False)
    none = np.zeros(CLIP_SIZE[1], np.float16)
    looks = {frame.path: rng.normal(size=CLIP_SIZE[0]).astype(np.float16) for frame in empty.frames}
    frames = [
        replace(one, measures=replace(one.measures, clip=Clip(looks[one.path], none, none), people=chance))
        for one, chance in zip(empty.frames, np.linspace(0.1, 0.9, len(empty.frames)), strict=True)
    ]
    seen = []
    monkeypatch.setattr(outcomes, "arrange", lambda brief, items: seen.extend(items) or arrange(brief, items))
    brief = make_brief(layout={"kind": "story", "order": "sequence"})
    suggest(replace(empty, frames=tuple(frames)), brief, alternates=0)
    assert len({item.path for item in seen}) == 3
    for item in seen:
        one = next(frame.measures for frame in frames if frame.path == item.path)
        opening, ending = ends_seen(centred(looks[item.path][None], twin_means()[1]))
        assert item.content == pytest.approx(twin_signatures(one.embedding[None], looks[item.path][None])[0], abs=1e-6)
        assert (item.opening, item.ending) == pytest.approx((opening[0], ending[0]), abs=1e-4)
        assert item.opening != pytest.approx(item.ending, abs=1e-3)
        assert item.people == one.people
    seen.clear()
    suggest(empty, brief, alternates=0)
    assert {(item.content is None, item.opening, item.ending, isnan(item.people)) for item in seen} == {
        (True, 0.0, 0.0, True)
    }


def test_the_document_survives_json():
    outcome = suggest(make_shoot(9), make_brief())
    assert Outcome.model_validate_json(outcome.model_dump_json()) == outcome


def test_a_missing_role_is_answered_with_the_rules_that_clash():
    frames = [make_frame(i, "wide" if i < 3 else "medium") for i in range(6)]
    outcome = suggest(make_snapshot(*frames), make_brief(roles=ROLES))
    assert outcome.status == "none"
    assert not outcome.sets
    assert any("close" in clash.says for clash in outcome.conflict)
    assert any(clash.way_out for clash in outcome.conflict)


def test_rules_that_leave_too_few_frames_are_an_answer_with_what_they_took():
    small = make_snapshot(*(make_frame(i, size=(600, 400)) for i in range(5)))
    outcome = suggest(small, make_brief(print_cm=60))
    assert outcome.status == "none"
    assert [out.rule for out in outcome.ruled_out] == ["resolution"]
    assert "60 cm" in outcome.conflict[0].says


def test_a_size_above_the_catalog_is_a_bad_brief():
    with pytest.raises(BadBrief, match=r"size = 3.*2 frames"):
        suggest(make_shoot(2), make_brief())


def test_a_repeat_names_the_frame_that_beat_it():
    twins = [make_frame(0, "wide", moment=0, quality=0.9), make_frame(1, "wide", moment=0, quality=0.5)]
    others = [make_frame(2, "medium"), make_frame(3, "close")]
    outcome = suggest(make_snapshot(*twins, *others), make_brief(roles=ROLES))
    assert [(r.path, r.beaten_by) for r in outcome.repeats] == [("frame-0001.jpg", "frame-0000.jpg")]
    assert outcome.repeats[0].points > 0


def test_by_how_much_a_repeat_is_beaten_counts_by_the_best_way_to_use_it():
    sides = [
        make_frame(0, "wide", moment=0, quality=0.9, inner="close"),
        make_frame(1, "wide", moment=0, inner="close"),
    ]
    shoot = make_snapshot(*sides, make_frame(2, "medium"), make_frame(3, "close"))
    assembly = assemble(shoot, make_brief(roles=ROLES))
    outcome = suggest(shoot, make_brief(roles=ROLES), alternates=0)
    (beaten,) = outcome.repeats
    winner = next(frame for frame in outcome.sets[0].frames if frame.path == beaten.beaten_by)
    column = [slot.name for slot in assembly.slots].index(winner.role)
    paid = {
        path: [
            g[column] for g, r in zip(assembly.problem.gain, assembly.renditions, strict=True) if r.frame.path == path
        ]
        for path in (winner.path, beaten.path)
    }
    assert len([g for g in paid[beaten.path] if not np.isnan(g)]) > 1, "it must have several renditions in that role"
    assert beaten.points == pytest.approx(np.nanmax(paid[winner.path]) - np.nanmax(paid[beaten.path]))


def test_the_problem_is_handed_out_before_it_is_solved():
    seen = []
    suggest(make_shoot(9), make_brief(), alternates=0, on_problem=seen.append)
    assert np.isfinite(np.nanmax(seen[0].gain))


@pytest.mark.parametrize(("size", "differ"), [(1, 1), (2, 1), (3, 2), (8, 4), (9, 5)])
def test_alternates_differ_by_half_the_set_rounded_up(size, differ):
    assert default_difference(size) == differ


def test_prices_say_what_each_hard_rule_costs_and_hold_when_it_is_dropped():
    brief, free = make_brief(roles=ROLES, repeats={"scene": 1}), make_brief(roles=ROLES)
    frames = [make_frame(i, scale, scene=0, quality=0.9) for i, scale in enumerate(ROLES)]
    frames += [make_frame(3 + i, scale, scene=1 + i, quality=0.3) for i, scale in enumerate(ROLES)]
    shoot = make_snapshot(*frames)
    outcome = suggest(shoot, brief, alternates=0, prices=True)
    priced = {price.about: price for price in outcome.prices}
    gained = suggest(shoot, free, alternates=0).sets[0].score - outcome.sets[0].score
    assert priced["group_cap[1]"].points == pytest.approx(gained)
    assert gained > 0
    assert all(price.proven for price in outcome.prices)
    points = [price.points for price in outcome.prices]
    assert points == sorted(points, reverse=True)
    assert "scene" in outcome.prices[0].says


def test_an_alternate_is_not_the_same_pictures_from_the_same_moments():
    frames = [make_frame(i, scale, moment=i % 3, quality=0.9 - i / 100) for i, scale in enumerate([*ROLES] * 3)]
    frames += [make_frame(9 + i, scale, moment=9 + i, quality=0.3) for i, scale in enumerate(ROLES)]
    outcome = suggest(make_snapshot(*frames), make_brief(roles=ROLES), alternates=1)
    moments = [{frame.moment for frame in found.frames} for found in outcome.sets]
    assert moments[0] == {0, 1, 2}
    assert len(moments[0] & moments[1]) <= 1


@pytest.mark.parametrize(
    ("seed", "changes", "score", "paths"),
    [
        (3, {}, 257.99977370086356, "35 23 24"),
        (5, {"roles": ROLES}, 214.15046380331046, "18 39 38"),
        (
            8,
            {
                "size": 4,
                "aspect": "1:1",
                "print_cm": 20,
                "tone": {"treatment": "mono"},
                "repeats": {"moment": 2, "scene": 2},
            },
            308.09969138022444,
            "26 31 36 37",
        ),
    ],
)
def test_sets_and_scores_are_those_of_before_weights_came_last(seed, changes, score, paths):
    weights = dict.fromkeys(weight_names(), 0) | {
        "quality": 40,
        "role": 20,
        "composition": 15,
        "rating": 10,
        "variety": 12,
        "tone": 1,
    }
    shoot = make_random_snapshot(40, seed=seed, faces=False)
    best = suggest(shoot, make_brief(weights=weights, **changes), alternates=0).best
    assert best.score == pytest.approx(
        score, abs=1e-5
    )  # measures are in single precision, and processors round differently
    assert {frame.path for frame in best.frames} == {f"frame-00{number}.jpg" for number in paths.split()}
    assert sum(weights[term] * worth for term, worth in best.terms.items()) == pytest.approx(best.score, abs=1e-9)

"""Gains: quality, role fit, rating, each alone, with its sentence."""

from dataclasses import replace

import numpy as np
import pytest

from setsolver.domain.measures import Appeal, ScaleOdds
from setsolver.rules import assemble, ledger
from setsolver.rules.quality import LAG_COSTS, LIGHTER, SHARPER, SISTER_COSTS, TIGHTER_COSTS
from tests.rules.builders import make_brief, make_frame, make_snapshot


def whole(assembly, part):
    """Return a part's points of each frame's largest rendition in its best role."""
    rows = [row for row, rendition in enumerate(assembly.renditions) if rendition.kind == "largest"]
    return assembly.weights[part] * assembly.parts.gains[part][rows].max(axis=1)


def says(assembly, rule, row=0, role=1):
    lines = ledger(assembly, [row], [role], assembly.problem.tone[row])
    return next(line.says for line in lines if line.rule == rule)


def test_quality_pays_in_proportion():
    frames = [make_frame(i, quality=q) for i, q in enumerate([0.0, 0.5, 1.0])]
    points = whole(assemble(make_snapshot(*frames), make_brief(weights={"quality": 40})), "quality")
    assert points == pytest.approx([0, 20, 40])


def test_the_softer_frame_of_a_moment_loses_and_loners_do_not():
    frames = (
        make_frame(0, moment=5, sharpness=0.8),
        make_frame(1, moment=5, sharpness=0.6),
        make_frame(2, sharpness=0.3),
    )
    assembly = assemble(make_snapshot(*frames), make_brief())
    assert whole(assembly, "quality") == pytest.approx([28, 28 - 40 * SISTER_COSTS * (0.2 - SHARPER), 28])
    assert "another frame of the moment is sharper" in sister_says(assembly)


def test_the_darker_frame_of_a_moment_loses_and_a_dark_loner_does_not():
    frames = (
        make_frame(0, moment=5, look=(8.0, 48.0, 92.0, 0.0, 0.0)),
        make_frame(1, moment=5, look=(2.0, 27.2, 60.0, 0.0, 0.0)),  # L* 48 and 27.2 are 1.67 EV apart
        make_frame(2, look=(2.0, 27.2, 60.0, 0.0, 0.0)),
    )
    assembly = assemble(make_snapshot(*frames), make_brief())
    assert whole(assembly, "quality") == pytest.approx([28, 28 - 40 * LAG_COSTS * (1.67 - LIGHTER), 28], abs=0.05)
    assert sister_says(assembly).endswith("another frame of the moment is better exposed")


def test_one_that_is_softer_and_darker_hears_it_in_one_sentence():
    frames = (
        make_frame(0, moment=5, sharpness=0.8),
        make_frame(1, moment=5, sharpness=0.6, look=(2.0, 27.2, 60.0, 0.0, 0.0)),
        make_frame(2),
    )
    said = sister_says(assemble(make_snapshot(*frames), make_brief()))
    assert "another frame of the moment is sharper and better exposed" in said


def sister_says(assembly):
    """Return what is said of the quality of the second frame."""
    row = next(row for row, rendition in enumerate(assembly.renditions) if rendition.frame.id == 1)
    return says(assembly, "quality", row)


def test_a_tighter_crop_costs_quality():
    assembly = assemble(make_snapshot(make_frame(0)), make_brief(size=1))
    by_size = {
        round(r.crop.h, 2): q for r, q in zip(assembly.renditions, assembly.parts.gains["quality"][:, 1], strict=True)
    }
    assert by_size[1.0] - by_size[0.5] == pytest.approx(TIGHTER_COSTS)


def test_a_crop_without_the_sharp_part_costs_quality():
    frame = make_frame(0)
    tiles = np.zeros((8, 8), dtype=np.float32)
    tiles[0, 0] = 0.9  # sharp in the far corner only, which no tight crop about the middle holds
    measures = replace(frame.measures, detail=frame.measures.detail._replace(tiles=tiles))
    plain, soft = (assemble(make_snapshot(f), make_brief(size=1)) for f in (frame, replace(frame, measures=measures)))
    assert whole(plain, "quality") == pytest.approx(whole(soft, "quality"))
    tight = [row for row, rendition in enumerate(soft.renditions) if rendition.kind == "tighter"]
    assert tight
    assert np.all(soft.parts.gains["quality"][tight, 1] < plain.parts.gains["quality"][tight, 1] - 0.125)


@pytest.mark.parametrize(
    ("changes", "word"),
    [
        ({"sharpness": 0.9}, "sharp where it matters"),
        ({"sharpness": 0.1}, "soft"),
        ({"grain": 5.0}, "grainy"),
        ({"grain": 0.2}, "clean"),
    ],
)
def test_quality_says_what_is_measured(changes, word):
    assembly = assemble(make_snapshot(make_frame(0, **changes)), make_brief(size=1))
    assert word in says(assembly, "quality")


def test_clipping_is_named():
    frame = make_frame(0)
    tone = frame.measures.tone._replace(clipped_high=0.1, clipped_low=0.0)
    frame = replace(frame, measures=replace(frame.measures, tone=tone))
    text = says(assemble(make_snapshot(frame), make_brief(size=1)), "quality")
    assert "burnt highlights" in text
    assert "blocked" not in text


def test_role_fit_pays_the_odds_and_half_when_unsure():
    frames = [make_frame(0, ScaleOdds(0.7, 0.3, 0.0)), make_frame(1, ScaleOdds(0.4, 0.35, 0.25))]
    assembly = assemble(make_snapshot(*frames), make_brief(size=2, weights={"role": 20}))
    assert assembly.parts.gains["role"][0, :2] == pytest.approx([0.7, 0.3])
    assert assembly.parts.gains["role"][1] == pytest.approx([0.2, 0.175, 0.125])
    assert says(assembly, "role", 0, 0) == "plays wide, 70 % sure"
    assert "earns half" in says(assembly, "role", 1, 0)


def test_stars_pay_and_the_rejected_are_out():
    frames = [make_frame(i, rating=stars) for i, stars in enumerate([None, 0, 2, 5, -1])]
    assembly = assemble(make_snapshot(*frames), make_brief(weights={"rating": 10}))
    assert whole(assembly, "rating") == pytest.approx([0, 0, 4, 10])
    assert [out.says for out in assembly.ruled_out] == ["1 frame you rejected (rating -1)"]


def test_a_rejected_frame_that_is_wished_for_stays():
    snapshot = make_snapshot(make_frame(0, rating=-1, path="a.jpg"), make_frame(1))
    assembly = assemble(snapshot, make_brief(size=1, frames={"include": ["a.jpg"]}))
    assert 0 in assembly.problem.frame


def test_an_unrated_catalog_has_no_line_on_ratings():
    assembly = assemble(make_snapshot(make_frame(0)), make_brief(size=1))
    assert "rating" not in {line.rule for line in ledger(assembly, [0], [1], assembly.problem.tone[0])}


def test_a_crop_earns_the_share_of_the_frame_that_it_keeps():
    frames = [make_frame(0), make_frame(1, size=(4000, 6000))]
    assembly = assemble(make_snapshot(*frames), make_brief(size=1, weights={"kept": 10}))
    assert whole(assembly, "kept") == pytest.approx([10, 10 * 4 / 9], abs=0.01)
    assert says(assembly, "kept") == "keeps the whole frame"


def appealing(number, value):
    frame = make_frame(number)
    return replace(frame, measures=replace(frame.measures, appeal=None if value is None else Appeal(value, 0.5)))


def test_weak_frames_lose_what_they_are_short_of_solid():
    frames = [appealing(i, value) for i, value in enumerate([4.5, 3.0, 2.0, 1.0, None])]
    assembly = assemble(make_snapshot(*frames), make_brief(size=1, weights={"solid": 10}))
    assert whole(assembly, "solid") == pytest.approx([10, 10, 5, 0, 25 / 4])  # the last: the others' mean
    row = next(row for row, rendition in enumerate(assembly.renditions) if rendition.frame.id == 2)
    assert says(assembly, "solid", row) == "1.0 under the appeal of 3 that serves in any set"
    assert says(assembly, "solid") == "solid enough for any set"


def test_where_no_appeal_is_known_nobody_earns_anything_by_being_solid():
    assembly = assemble(
        make_snapshot(*(appealing(i, None) for i in range(2))), make_brief(size=1, weights={"solid": 10})
    )
    assert whole(assembly, "solid") == pytest.approx([0, 0])

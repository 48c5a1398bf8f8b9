"""Crops of a catalog of which a few frames changed are those cut from scratch, and so are their tones."""

from dataclasses import fields, replace

import numpy as np
import pytest

from setsolver.crops import renditions
from setsolver.crops.rendered import to_renditions
from setsolver.crops.renditions import CropTable, cut_all
from setsolver.crops.warm_crops import cut_crops
from setsolver.domain.cut import Cut
from setsolver.domain.geometry import Box
from setsolver.domain.last import forget_all
from setsolver.domain.measures import ScaleOdds, Tilt
from tests.rules.builders import make_random_snapshot, make_tiles

FRAMES = make_random_snapshot(60, seed=5).frames
ASPECTS = (1.5, 0.8)


def told(frame, **measures):
    return replace(frame, measures=replace(frame.measures, **measures))


CHANGES = {
    "nothing that is cut": lambda frame: replace(frame, stars=5.0),
    "scale": lambda frame: replace(frame, said="close"),
    "odds": lambda frame: told(frame, odds=ScaleOdds(0.02, 0.03, 0.95)),
    "a detail by a little": lambda frame: told(frame, odds=ScaleOdds(0.04, 0.06, 0.9)),
    "no detail by a little": lambda frame: told(frame, odds=ScaleOdds(0.04, 0.061, 0.899)),
    "tilt": lambda frame: told(frame, tilt=Tilt(4.0, 0.9, None)),
    "sides": lambda frame: replace(frame, width=frame.height, height=frame.width),
    "people": lambda frame: told(frame, figures=np.pad(np.full((14, 4), 255, np.uint8), ((0, 0), (5, 5)))),
    "crop map": lambda frame: told(frame, crop_map=np.stack([np.full((14, 14), v, np.int8) for v in (60, -60)])),
    "tones": lambda frame: told(frame, tiles=make_tiles(20, 60, 80)),
}


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES)
def test_a_changed_frame_is_cut_and_toned_as_from_scratch(change):
    changed = tuple(change(frame) if frame.id in (7, 31) else frame for frame in FRAMES)
    to_renditions(FRAMES, cut_crops(FRAMES, ASPECTS), "colour")
    warm = cut_crops(changed, ASPECTS)
    toned = to_renditions(changed, warm, "colour")
    forget_all()
    fresh = cut_crops(changed, ASPECTS)
    for name in (name for name in CropTable.__dataclass_fields__ if name != "marks"):
        np.testing.assert_array_equal(getattr(warm, name), getattr(fresh, name), err_msg=name)
    for mine, theirs in zip(warm.marks, fresh.marks, strict=True):
        np.testing.assert_array_equal(mine, theirs)
    for mine, theirs in zip(toned, to_renditions(changed, fresh, "colour"), strict=True):
        assert [getattr(mine, field.name) for field in fields(mine)] == [
            getattr(theirs, field.name) for field in fields(mine)
        ]


@pytest.mark.parametrize("seed", range(4))
def test_frames_that_turn_into_details_and_back_are_cut_as_from_scratch(seed):
    rng = np.random.default_rng(seed)
    frames = tuple(
        told(
            frame,
            tilt=Tilt(float(rng.uniform(-5, 5)), float(rng.uniform(0.3, 1)), None),
            subject=replace_box(frame.measures.subject, rng),
        )
        for frame in FRAMES
    )
    for _ in range(4):
        close = rng.choice([0.3, 0.49, 0.5, 0.89, 0.9, 0.95], len(frames))
        frames = tuple(
            told(frame, odds=ScaleOdds((1 - part) / 2, (1 - part) / 2, part))
            for frame, part in zip(frames, close, strict=True)
        )
        warm = cut_crops(frames, ASPECTS)
        forget_all()
        fresh = cut_crops(frames, ASPECTS)
        for name in (name for name in CropTable.__dataclass_fields__ if name != "marks"):
            np.testing.assert_array_equal(getattr(warm, name), getattr(fresh, name), err_msg=name)


def replace_box(subject, rng):
    """Return a subject elsewhere, which may run through the frame from side to side."""
    box = Box(0.0, float(rng.uniform(0, 0.4)), 1.0, 0.5) if rng.random() < 0.4 else subject.box
    return subject._replace(box=box, confidence=float(rng.uniform(0.2, 0.9)))


@pytest.mark.parametrize(
    "cuts", [(Cut(1.5),), (Cut(1.5), Cut(0.8, (0.02, 0.02, 0.02, 0.02), (0.48, 0.52)))], ids=["whole", "trimmed"]
)
def test_a_few_frames_whose_sizes_are_tried_at_once_are_cut_as_one_size_after_the_other(cuts, monkeypatch):
    tilted = tuple(told(frame, tilt=Tilt(3.0, 0.95, None)) if frame.id % 3 == 0 else frame for frame in FRAMES)
    together = cut_all(tilted, cuts)
    monkeypatch.setattr(renditions, "_FEW", 0)
    apart = cut_all(tilted, cuts)
    for name in (name for name in CropTable.__dataclass_fields__ if name != "marks"):
        np.testing.assert_array_equal(getattr(together, name), getattr(apart, name), err_msg=name)
    for mine, theirs in zip(together.marks, apart.marks, strict=True):
        np.testing.assert_array_equal(mine, theirs)
    assert len(np.unique(together.level)) > 1  # some are levelled, some stand as they stood

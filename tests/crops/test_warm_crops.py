"""Crops of a catalog of which a few frames changed are those cut from scratch, and so are their tones."""

from dataclasses import fields, replace

import numpy as np
import pytest

from setsolver.crops.rendered import to_renditions
from setsolver.crops.renditions import CropTable
from setsolver.crops.warm_crops import cut_crops
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
    "tilt": lambda frame: told(frame, tilt=Tilt(4.0, 0.9, None)),
    "sides": lambda frame: replace(frame, width=frame.height, height=frame.width),
    "people": lambda frame: told(frame, figures=np.pad(np.full((14, 4), 255, np.uint8), ((0, 0), (5, 5)))),
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

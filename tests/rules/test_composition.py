"""Composition: each fault alone costs its share and is named."""

import numpy as np
import pytest

from setsolver.crops.framing import Framing
from setsolver.domain.geometry import WHOLE, Box
from setsolver.domain.measures import CROP_MAP_STEPS, Tilt
from setsolver.rules import assemble, ledger
from setsolver.rules.composition import BLAME, CUT, FAULTS, PRAISE, composition_marks
from tests.rules.builders import make_brief, make_face, make_frame, make_snapshot

LOPSIDED = np.tile(np.linspace(1, 3, 16), (16, 1)) / 512


def graded(frame):
    assembly = assemble(make_snapshot(frame), make_brief(size=1, weights={"composition": 100}))
    lines = ledger(assembly, [0], [1], assembly.problem.tone[0])
    line = next(line for line in lines if line.rule == "composition")
    return line.points, line.says


def calm(**places):
    """A crop map on which no border costs anything, but for some places of the map of borders, in logits."""
    crop_map = np.zeros((2, 14, 14), np.int8)
    for where, logits in places.items():
        crop_map[(1, *WHERE[where])] = round(logits * CROP_MAP_STEPS[1])
    return crop_map


WHERE = {
    "left": (slice(None), 0),
    "right": (slice(None), -1),
    "top": (0,),
    "bottom": (-1,),
    "middle": (slice(5, 9),) * 2,
}


def test_all_faults_together_are_everything():
    assert sum(FAULTS.values()) == pytest.approx(1)


def test_trivial_a_faultless_frame_earns_all():
    points, says = graded(make_frame(0))
    assert points == pytest.approx(100, abs=2)
    assert says == "whole subject in frame, stands out, room around it, framed as shot"


def test_edges_are_praised_only_where_somebody_has_looked_and_nothing_lies_at_the_frame_s_own_sides_either():
    says = {side: PRAISE["edges"] in graded(make_frame(0, crop_map=calm(**{side: -0.02})))[1] for side in WHERE}
    assert PRAISE["edges"] in graded(make_frame(0, crop_map=calm()))[1]
    assert says == {"left": False, "right": False, "top": False, "bottom": False, "middle": True}
    assert PRAISE["edges"] not in graded(make_frame(0))[1]


@pytest.mark.parametrize(
    ("fault", "changes"),
    [
        ("clear", {"confidence": 0.36}),
        ("air", {"subject": Box(0.025, 0.3, 0.3, 0.4)}),
        ("edges", {"attention": np.pad(np.zeros((14, 14)), 1, constant_values=1 / 60)}),
        ("level", {"tilt": Tilt(5.0, 0.9, None), "subject": WHOLE}),
        ("room", {"faces": (make_face(0.1, 0.5, 0.1, "left"),)}),
        ("horizon", {"tilt": Tilt(0.0, 0.9, 0.5), "attention": LOPSIDED}),
    ],
)
def test_each_fault_costs_and_is_named(fault, changes):
    points, says = graded(make_frame(0, **changes))
    assert points <= 100 * (1 - 0.5 * FAULTS[fault])
    assert BLAME[fault] in says


def test_what_runs_out_of_the_frame_itself_is_no_fault_of_the_crop():
    says = [graded(make_frame(0, subject=Box(x, 0.3, 0.4, 0.5)))[1] for x in (0.0, 0.025)]
    assert [BLAME["air"] in words for words in says] == [False, True]


def test_a_face_that_the_frame_cuts_is_named():
    faces = (make_face(0.5, 0.5, 0.2), make_face(0.05, 0.5, 0.1))  # the second begins with the frame
    assert "a face is cut at the edge" in graded(make_frame(0, faces=faces))[1]


def test_somebody_without_a_face_whom_the_frame_cuts_is_named():
    backs = np.zeros((14, 14), np.uint8)
    backs[:, :3] = 255
    plain, cut = (graded(make_frame(0, figures=figures, crop_map=calm())) for figures in (None, backs))
    assert cut[0] == pytest.approx(plain[0] - 100 * FAULTS["edges"] * CUT, abs=0.5)
    assert PRAISE["edges"] in plain[1]
    assert PRAISE["edges"] not in cut[1]
    busy = np.pad(np.zeros((14, 14)), 1, constant_values=1 / 60)
    assert "somebody is cut at the edge" in graded(make_frame(0, figures=backs, attention=busy))[1]


def test_edges_are_free_only_where_the_subject_does_not_run_out():
    inside, out = (
        graded(make_frame(0, subject=box, crop_map=calm()))[1]
        for box in (Box(0.35, 0.3, 0.3, 0.4), Box(0.35, 0.0, 0.3, 1))
    )
    assert PRAISE["edges"] in inside
    assert PRAISE["edges"] not in out


def test_a_symmetric_picture_may_halve_itself():
    points, says = graded(make_frame(0, tilt=Tilt(0.0, 0.9, 0.5)))
    assert points == pytest.approx(100, abs=2)
    assert "half" not in says


def test_a_wide_view_needs_no_clear_subject():
    assembly = assemble(
        make_snapshot(*(make_frame(i, s, confidence=0.3) for i, s in enumerate(["wide", "close"]))), make_brief(size=2)
    )
    wide, close = (15 * assembly.parts.gains["composition"][row][role] for row, role in ((0, 0), (1, 2)))
    assert wide > close + 1


def test_levelling_is_told_with_its_cost():
    _, says = graded(make_frame(0, tilt=Tilt(2.0, 0.9, 0.3)))
    assert "turned by 2.0 degrees for 10 % of its area" in says


def test_a_subject_that_nobody_is_sure_of_is_not_praised():
    says = graded(make_frame(0, "wide", confidence=0.2))[1]
    assert "subject" not in says
    assert "room around it" not in says


def test_what_fills_much_of_the_frame_is_not_praised_as_a_whole_subject():
    assert graded(make_frame(0, subject=Box(0.08, 0.33, 0.78, 0.5)))[1] == "framed as shot"


def test_each_mark_is_what_its_fault_says():
    ones = {name: np.array([1.0]) for name in Framing._fields}

    def marks(tilt=0.0, cost=0.0, clear=1.0, **changes):
        framing = Framing(**ones | {name: np.array([value]) for name, value in changes.items()})
        found = composition_marks(framing, np.array([tilt]), np.array([cost]), np.array([clear]))
        return {fault: float(mark[0]) for fault, mark in found.items() if mark[0] != 1}

    assert marks() == {}
    assert marks(subject=0.5, faces=0.5) == {"subject": 0.25}
    assert marks(clear=0.3) == {"clear": 0.3}
    assert marks(air=0.3) == {"air": 0.3}
    assert marks(edges=0.4, people=0.7) == marks(edges=0.7, people=0.4) == {"edges": 0.4}
    assert marks(free=0.5) == {"edges": 0.75}
    assert marks(tilt=1.5, cost=0.2) == {"level": pytest.approx(0.3)}
    assert marks(tilt=9) == {"level": 0.0}
    assert marks(room=0.2, horizon=0.1) == {"room": 0.2, "horizon": 0.1}
    assert marks(kept=0.725) == {"kept": pytest.approx(0.5)}
    assert marks(kept=0.4) == {"kept": 0.0}
    assert marks(area=0.3) == {"kept": 0.5}

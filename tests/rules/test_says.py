"""What terms say of a frame, at the very values at which their words change."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from setsolver.domain.measures import DETAIL_GRID, Appeal, Detail
from setsolver.rules import assemble, ledger
from setsolver.rules.appeal import AppealGain
from setsolver.rules.kept import Kept
from setsolver.rules.quality import Quality
from setsolver.rules.solid import Solid
from tests.rules.builders import make_brief, make_frame, make_snapshot, with_measures


def member(frame=None, area=1.0, others=()):
    frame = frame or make_frame(0)
    return SimpleNamespace(
        rendition=SimpleNamespace(frame=frame), marks=SimpleNamespace(area=area), snapshot=make_snapshot(frame, *others)
    )


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (4.25, "could lead a set"),
        (4.2, "a strong member"),
        (3.5, "a strong member"),
        (3.4, "solid"),
        (2.75, "solid"),
        (2.7, "a filler"),
        (2.0, "a filler"),
        (1.9, "weak"),
    ],
)
def test_appeal_is_said_as_readers_rated(value, words):
    said = AppealGain().says(member(with_measures(make_frame(0), appeal=Appeal(value, 0.5))))
    assert said.partition(", ")[2] == words


@pytest.mark.parametrize("term", [AppealGain(), Solid()], ids=lambda term: term.name)
def test_a_frame_without_appeal_counts_as_the_others_where_any_has_one(term):
    known = with_measures(make_frame(1), appeal=Appeal(3.5, 0.5))
    assert term.says(member(others=[known])) == "not measured yet; counted as the others' mean"
    assert term.says(member(others=[make_frame(1)])) == "not measured of any frame yet; all count alike"


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (3.0, "solid enough for any set"),
        (2.96, "just under the appeal of 3 that serves in any set"),
        (2.9, "0.1 under the appeal of 3 that serves in any set"),
        (1.0, "2.0 under the appeal of 3 that serves in any set"),
    ],
)
def test_what_falls_short_of_solid_says_by_how_much(value, words):
    assert Solid().says(member(with_measures(make_frame(0), appeal=Appeal(value, 0.5)))) == words


@pytest.mark.parametrize(
    ("area", "words"),
    [
        (1.0, "keeps the whole frame"),
        (0.994, "keeps 99 % of the frame, nearly as shot"),
        (0.9, "keeps 90 % of the frame, nearly as shot"),
        (0.89, "keeps 89 % of the frame"),
    ],
)
def test_what_is_kept_is_said_in_hundredths(area, words):
    assert Kept().says(member(area=area)) == words


@pytest.mark.parametrize(
    ("sharpness", "motion", "grain", "low", "high", "words"),
    [
        (0.6, 0.44, 1.0, 0.0, 0.0, "sharp where it matters, detail kept in shadows and highlights"),
        (0.59, 0.45, 1.5, 0.02, 0.0, "a little soft, motion blur, blocked shadows, grainy"),
        (0.35, 0.0, 0.5, 0.0, 0.02, "a little soft, burnt highlights, clean"),
        (0.34, 0.0, 1.4, 0.019, 0.019, "soft, detail kept in shadows and highlights"),
    ],
)
def test_quality_names_what_is_good_and_bad(sharpness, motion, grain, low, high, words):
    frame = make_frame(0)
    tone = frame.measures.tone._replace(clipped_low=low, clipped_high=high)
    detail = Detail(sharpness, motion, grain, np.ones(DETAIL_GRID, np.float32))
    assert Quality().says(member(with_measures(frame, tone=tone, detail=detail))) == words


def test_a_sharper_frame_of_the_moment_is_told():
    soft = make_frame(0, moment=4)
    sharp = with_measures(make_frame(1, moment=4), detail=replace_sharpness(0.95))
    said = Quality().says(
        SimpleNamespace(rendition=SimpleNamespace(frame=soft), snapshot=make_snapshot(soft, sharp, make_frame(2)))
    )
    assert said.endswith("another frame of the moment is sharper")


def replace_sharpness(sharpness):
    return replace_detail(make_frame(0).measures.detail, sharpness)


def replace_detail(detail, sharpness):
    return detail._replace(sharpness=sharpness) if hasattr(detail, "_replace") else replace(detail, sharpness=sharpness)


@pytest.mark.parametrize(("weight", "lines"), [(0, 0), (1, 3), (2, 3)])
def test_a_term_without_weight_says_nothing(weight, lines):
    shoot = make_snapshot(*(make_frame(i, rating=3.0) for i in range(3)))
    assembly = assemble(shoot, make_brief(weights={"rating": weight}))
    rows = [next(i for i, r in enumerate(assembly.renditions) if r.frame.id == frame) for frame in range(3)]
    told = ledger(assembly, rows, [1, 1, 1], assembly.problem.tone[0])
    assert len([line for line in told if line.rule == "rating"]) == lines

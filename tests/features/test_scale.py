"""Shot scale: an unsure frame is looked at in its quarters, a sure one is not."""

from dataclasses import replace

import numpy as np
import pytest

from setsolver.domain.geometry import Box
from setsolver.domain.measures import ScaleOdds
from setsolver.features.likeness import embed
from setsolver.features.models import Seen
from setsolver.features.scale import SURE, UNSURE, scale_odds
from setsolver.features.views import cut, make_views

DOUBTFUL = ScaleOdds(0.2, 0.3, 0.5)


class Said:
    """A head that says what it is told, in turn, and keeps what it was asked."""

    def __init__(self, *answers):
        self.answers, self.asked = list(answers), []

    def odds(self, embeddings):
        """Return the next answer as the odds of one frame."""
        self.asked.append(embeddings[0])
        return np.array([self.answers.pop(0)])


def told(models, *answers, by_itself=DOUBTFUL):
    """Odds of a patterned picture under heads that answer so; the head of the frame; how often the network ran."""
    looked = []

    def counting(batch):
        looked.append(len(batch))
        return Seen(*(np.asarray(part) for part in models.embedding(batch)))

    head = Said(*answers)
    known = replace(models, embedding=counting, scale=head)
    picture = np.random.default_rng(3).integers(0, 255, (90, 130, 3), dtype=np.uint8)
    views = make_views(picture)
    box = Box(0.0, 0.0, 0.5, 0.5)
    whole, inner = embed([picture, cut(views, box)], models.embedding)
    frame = scale_odds(views, whole, inner, by_itself, known)
    return frame, head, sum(looked), inner


def test_a_sure_frame_is_told_from_two_views(models):
    frame, head, looked, _ = told(models, (UNSURE, 1 - UNSURE, 0.0))
    assert frame == pytest.approx((UNSURE, 1 - UNSURE, 0))
    assert looked == 0
    assert len(head.asked) == 1


def test_a_frame_sure_by_itself_keeps_its_odds(models):
    by_itself = ScaleOdds(SURE, 1 - SURE, 0.0)
    frame, head, looked, _ = told(models, by_itself=by_itself)
    assert frame == by_itself
    assert looked == 0
    assert head.asked == []


def test_an_unsure_frame_is_told_again_from_its_quarters(models):
    frame, head, looked, inner = told(models, (0.5, 0.5, 0.0), (0.2, 0.8, 0.0))
    assert frame == pytest.approx((0.2, 0.8, 0.0))
    assert looked == 4
    first, second = head.asked
    assert np.array_equal(first[:1280], second[:1280])
    assert np.array_equal(first[1280:], inner)
    assert not np.allclose(second[1280:], np.float32(inner))

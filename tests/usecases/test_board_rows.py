"""What the board says of frames and prints: how much of a frame a crop keeps, and who is folded under whom."""

from types import SimpleNamespace

import pytest

from setsolver.usecases.board import rows
from setsolver.usecases.board.view import _share
from tests.output.builders import set_frame


@pytest.mark.parametrize(
    ("crop", "share"),
    [
        ((0.0, 0.0, 1.0, 1.0), 1.0),
        ((0.25, 0.25, 0.5, 0.5), 0.5),
        ((0.0, 0.25, 1.0, 0.5), 1.0),  # 3:1 of a frame of 3:2: no larger crop of that aspect
        ((0.2, 0.3, 0.5, 0.25), 0.5),
        ((0.4, 0.0, 0.2, 1.0), 1.0),  # upright, as high as the frame
    ],
)
def test_the_share_of_a_crop_is_one_for_the_largest_of_its_aspect(crop, share):
    assert _share(set_frame(crop=crop)) == pytest.approx(share)


def test_repeats_are_found_anew_where_any_frame_looks_otherwise_and_only_there(monkeypatch):
    """As after a frame was turned: as many looks as before, one of them another."""
    asked = []
    monkeypatch.setattr(rows, "twins_of", lambda seen, _: asked.append(seen) or ((0, len(asked)),))
    first, second, turned = object(), object(), object()
    tray = rows.FrameRows()
    seen = [SimpleNamespace(signatures=lambda looks=looks: looks) for looks in ((first, second), (first, second))]
    assert [tray._twins_of(one) for one in seen] == [((0, 1),)] * 2
    assert tray._twins_of(SimpleNamespace(signatures=lambda: (first, turned))) == ((0, 2),)
    assert tray._twins_of(SimpleNamespace(signatures=lambda: (first, turned, second))) == ((0, 3),)
    assert len(asked) == 3

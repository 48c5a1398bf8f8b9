"""What corrections changed, in words."""

from dataclasses import replace

import pytest

from setsolver.usecases.corrected import changes_in_words
from tests.rules.builders import make_frame, make_snapshot


@pytest.mark.parametrize(
    ("before", "after", "says"),
    [
        (None, 90, "turned by 90 degrees"),
        (90, 180, "turned by 180 degrees"),
        (None, 0, "right as it lies"),
        (180, 0, "no more turned, right as it lies"),
        (90, None, "no more turned, how it lies is as measured"),
        (0, None, "how it lies is as measured"),
        (90, 90, "as it was"),
    ],
)
def test_a_turn_is_said_as_the_user_meant_it(before, after, says):
    frame, other = make_frame(0), make_frame(1)
    was = make_snapshot(replace(frame, turn=before), other)
    now = make_snapshot(replace(frame, turn=after), other)
    assert changes_in_words(was, now, [frame.path]) == [f"{frame.path}: {says}", "no other frame changed"]

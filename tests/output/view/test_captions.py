"""What prints are called."""

import pytest

from setsolver.output.view.captions import caption_of, title_of
from tests.output.builders import brief, set_frame


@pytest.mark.parametrize(
    ("role", "time", "caption"),
    [
        ("wide", "2024-05-01T17:03:21", "Wide view, 1 May 2024, 17:03"),
        ("wide", "2024-05-01", "Wide view, 1 May 2024"),
        ("medium", None, "Middle distance"),
        ("close", "soon", "Close view"),
        ("kiln_door", None, "Kiln door"),
        ("odd\u202e", None, "Odd\\u202e"),
    ],
)
def test_a_caption_is_the_role_in_words_and_the_time(role, time, caption):
    assert caption_of(brief(), set_frame(role=role, time=time)) == caption


def test_the_brief_may_give_captions():
    wish = brief(captions={"yard/a.jpg": "The shed\u202e at noon"})
    assert caption_of(wish, set_frame("yard/a.jpg")) == "The shed\\u202e at noon"


def test_a_name_reads_as_words():
    assert title_of(brief()) == "Hall three"
    assert title_of(brief(title="The kiln day")) == "The kiln day"

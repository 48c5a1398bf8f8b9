"""What may be said of a frame."""

import pytest

from setsolver.domain.corrections import CORRECTIONS, checked, corrections_in_words
from setsolver.errors import BadInput


@pytest.mark.parametrize("name", CORRECTIONS)
def test_every_value_of_a_name_can_be_said_and_taken_back(name):
    assert [checked(name, value) for value in CORRECTIONS[name]] == list(CORRECTIONS[name])
    assert checked(name, None) is None


@pytest.mark.parametrize(
    ("name", "value", "told"), [("tone", "dark", "scale, turn"), ("turn", "45", "0, 90, 180, 270")]
)
def test_what_cannot_be_said_names_what_can(name, value, told):
    with pytest.raises(BadInput, match=told):
        checked(name, value)


def test_words_name_every_correction():
    words = corrections_in_words()
    assert all(f"{name}={value}" in words for name, values in CORRECTIONS.items() for value in values)

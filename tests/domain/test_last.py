"""The last answer is kept for the very same objects only."""

from setsolver.domain.last import Last


def test_the_very_same_objects_have_the_answer_that_is_kept_and_equal_ones_do_not():
    last, parts, made = Last(), [[1], [2]], []

    def make():
        made.append(len(made))
        return made[-1]

    assert last.of(parts, make) == last.of(tuple(parts), make) == 0
    others = [[1], [2]]
    assert last.of(others, make) == 1
    assert last.of(parts, make) == 0  # the one before is kept, too: a change that is taken back leads there
    assert last.of(parts[:1], make) == 2
    assert last.of(parts, make) == 0
    assert last.of(others, make) == 3
    assert len(made) == 4

"""Rows that are known: the answer is that of working out every row, whatever came and went in between."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from setsolver.domain.known_rows import KnownRows, same_rows

numbers = st.sampled_from([0.0, 0.25, 1.0, -1.0, np.float64(1e-300), 7.5])
row = st.tuples(st.integers(0, 4), numbers, numbers)
table = st.lists(row, max_size=12)


def parts(rows):
    source = np.array([one[0] for one in rows], dtype=np.int64)
    return source, np.array([one[1:] for one in rows], dtype=np.float64).reshape(-1, 2)


def sources(values):
    found = np.empty(len(values), dtype=object)
    found[:] = values
    return found


@given(st.lists(st.tuples(table, st.sets(st.integers(0, 4))), max_size=6))
def test_answers_are_those_of_every_row_worked_out(questions):
    known, now = KnownRows(), [[at] for at in range(5)]
    for rows, changed in questions:
        now = [[value[0] + 10.0] if at in changed else value for at, value in enumerate(now)]
        source, places = parts(rows)

        def answer(which, source=source, places=places, now=now):
            values = [now[one][0] for one in source[which]]
            return np.column_stack([places[which].sum(axis=1), np.array(values, dtype=np.float64)])

        found = known.of(sources(now), source, places, answer)
        np.testing.assert_array_equal(found, answer(np.arange(len(rows))))


def test_only_new_rows_are_worked_out():
    known, asked = KnownRows(), []

    def answer(which):
        asked.append(which.tolist())
        return np.zeros((len(which), 1))

    one, two = object(), object()
    source, places = np.array([0, 0, 1]), np.array([[1.0], [2.0], [3.0]])
    known.of(sources([one, two]), source, places, answer)
    known.of(sources([one, two]), source[::-1], places[::-1], answer)
    known.of(sources([one, object()]), source, places, answer)
    known.of(sources([one, two]), np.append(source, 1), np.append(places, [[9.0]], axis=0), answer)
    assert asked == [[0, 1, 2], [], [2], [2, 3]]


@given(table, table)
def test_same_rows_are_found_and_no_others(old, new):
    found = same_rows(*parts(old), *parts(new)).tolist()
    for at, place in enumerate(found):
        assert (place >= 0) == (new[at] in old)
        assert place < 0 or old[place] == new[at]

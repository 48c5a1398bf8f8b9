"""Principal axes of vectors that change a few at a time are those of vectors seen for the first time."""

import numpy as np
import pytest

from setsolver.rules.principal import Principal


def vectors(count, size, seed=0):
    rng = np.random.default_rng(seed)
    return (rng.normal(size=(count, 8)) @ rng.normal(size=(8, size)) + 0.1 * rng.normal(size=(count, size))).astype(
        np.float32
    )


@pytest.mark.parametrize("shape", [(300, 40), (41, 40), (40, 40), (12, 40), (2, 5)])
def test_places_have_the_products_of_the_best_approximation(shape):
    """By the singular value decomposition, whose truncation is the best of its rank (Eckart and Young, 1936)."""
    given = vectors(*shape)
    centred = given.astype(np.float64) - given.mean(axis=0, dtype=np.float64)
    left, values, _ = np.linalg.svd(centred, full_matrices=False)
    kept = left[:, :4] * values[:4]
    found = Principal().of(given, 4)
    assert found @ found.T == pytest.approx(kept @ kept.T, abs=1e-3 * float(values[0]))


@pytest.mark.parametrize("changed", [[3], [0, 299], [5, 6, 120, 250]])
def test_after_a_change_they_are_to_the_last_digit_those_of_a_fresh_look(changed):
    axes, given = Principal(), vectors(300, 40)
    axes.of(given, 4)
    given = given.copy()
    given[changed] += 1.5
    np.testing.assert_array_equal(axes.of(given, 4), Principal().of(given, 4))
    np.testing.assert_array_equal(axes.of(vectors(200, 40, 1), 4), Principal().of(vectors(200, 40, 1), 4))

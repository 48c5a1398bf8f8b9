"""The vectors that scenes are told by."""

import numpy as np

from setsolver.features.places import scene_parts


def test_parts_are_unit_vectors_about_means_whatever_the_length_of_what_networks_say():
    rng = np.random.default_rng(3)
    embedding, places = rng.uniform(0, 2, (4, 1280)), rng.normal(size=(4, 768))
    parts = scene_parts(embedding, places)
    for part, again in zip(parts, scene_parts(3 * embedding, 0.5 * places), strict=True):
        assert np.allclose(np.linalg.norm(part, axis=1), 1, atol=1e-5)
        assert np.allclose(part, again, atol=1e-5)
    assert [part.shape for part in parts] == [(4, 1280), (4, 768)]

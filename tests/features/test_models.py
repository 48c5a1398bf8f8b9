"""Files of weights, each read once a process."""

import numpy as np
import pytest

from setsolver.errors import BadInput
from setsolver.features import crop_map, ends, figures, ground, models, people, places, showing, twins
from setsolver.features.models import weights_of

SMALL = {
    crop_map.CROP_MAP_FILE: {"weights": (2, 768), "bias": (2,)},
    ends.ENDS_FILE: {"opens": (512,), "ends": (512,)},
    figures.FIGURES_FILE: {"weights": (769,)},
    ground.GROUND_FILE: {"weights": (193,), "clip": (769,), "crossing": (769,)},
    people.PEOPLE_FILE: {"weights": (512,), "bias": (1,)},
    places.SCENES_FILE: {"places_mean": (768,)},
    showing.SHOWING_FILE: {"mean": (512,), "weights": (512, 12), "bias": (12,)},
    twins.TWINS_FILE: {"embedding_mean": (1280,), "clip_mean": (512,)},
}
"""What each small file holds."""


@pytest.mark.parametrize("name", SMALL)
def test_small_files_hold_single_precision_that_nobody_may_write(name):
    found = weights_of(name)
    assert {key: array.shape for key, array in found.items()} == SMALL[name]
    for array in found.values():
        assert array.dtype == np.float32
        assert np.isfinite(array).all()
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 0


def test_a_file_is_read_once_a_process(monkeypatch):
    first = weights_of(twins.TWINS_FILE)
    monkeypatch.setattr(models, "weights_file", lambda name: pytest.fail(f"{name} is read again"))
    assert weights_of(twins.TWINS_FILE) is first


def test_a_file_that_is_missing_is_named_and_looked_for_again(monkeypatch, tmp_path):
    with pytest.raises(BadInput, match=r"the weights nowhere\.npz are missing .* install it again"):
        weights_of("nowhere.npz")
    np.savez(tmp_path / "nowhere.npz", a=np.float32([1]))
    monkeypatch.setattr(models, "weights_file", lambda name: tmp_path / name)
    assert weights_of("nowhere.npz")["a"].tolist() == [1]
    weights_of.cache_clear()


def test_the_large_network_is_loaded_when_it_is_first_asked_and_once():
    loaded = []
    later = models._Later(lambda: loaded.append("clip") or (lambda batch: batch + 1))
    assert loaded == []
    assert [later(1), later(2)] == [2, 3]
    assert loaded == ["clip"]


def test_a_network_takes_one_processor_and_speaks_of_errors_alone():
    """Frames run in parallel, not layers: eight workers of eight threads would wait for each other."""
    session = models._session(str(models.weights_file(models.FACES_FILE)))
    options = session.get_session_options()
    assert (options.intra_op_num_threads, options.inter_op_num_threads, options.log_severity_level) == (1, 1, 3)
    assert session.get_providers() == ["CPUExecutionProvider"]


def test_what_the_small_network_says_has_its_names():
    class Session:
        def run(self, names, given):
            assert list(given) == ["input"]
            return [np.float32([{"embedding": 1, "r91": 2, "a84": 3}[name]]) for name in names]

    seen = models._run(Session(), np.zeros((1, 3, 8, 8), np.float32))
    assert (seen.embedding[0], seen.last[0], seen.before[0]) == (1, 2, 3)

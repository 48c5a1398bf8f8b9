"""What most commands do first: measuring, and a search that Ctrl-C ends well."""

import signal
from types import SimpleNamespace as Made

import pytest

from setsolver.cli import measured as module
from setsolver.errors import NoFrames


@pytest.fixture(autouse=True)
def compiled(monkeypatch):
    """No test here waits for the solver."""
    monkeypatch.setattr(module, "_prepare", lambda _: None)


def test_the_first_ctrl_c_asks_a_search_to_end_and_the_second_ends_it():
    before = signal.getsignal(signal.SIGINT)
    with module.solving(3.0, 5, 2, 0.5) as effort:
        assert (effort.time_limit, effort.seed, effort.workers, effort.work) == (3.0, 5, 2, 0.5)
        assert effort.progress is None  # no terminal
        assert not effort.stop()
        signal.raise_signal(signal.SIGINT)
        assert effort.stop()
        with pytest.raises(KeyboardInterrupt):
            signal.raise_signal(signal.SIGINT)
    assert signal.getsignal(signal.SIGINT) is before


def test_ctrl_c_is_python_s_own_again_whatever_ends_the_search():
    before = signal.getsignal(signal.SIGINT)
    with pytest.raises(KeyError), module.solving(3.0, 0, 1):
        raise KeyError
    assert signal.getsignal(signal.SIGINT) is before


@pytest.mark.parametrize(
    ("frames", "refused", "says"),
    [
        (
            0,
            [Made(path="a\x1b.jpg", why="cut off"), Made(path="b.jpg", why="empty")],
            r"photograph \(a\\x1b\.jpg: cut off\);",
        ),
        (0, [], "photograph; name a folder"),
        (1, [Made(path="b.jpg", why="empty")], None),
    ],
)
def test_a_folder_without_one_frame_is_refused_with_the_first_reason(monkeypatch, tmp_path, frames, refused, says):
    asked = []
    catalog = Made(scan=lambda **given: asked.append(given) or Made(frames=frames, refused=refused))
    monkeypatch.setattr("setsolver.api.Catalog.open", lambda _: catalog)
    monkeypatch.setattr("setsolver.usecases.warming.Warming", lambda: None)
    if says is None:
        assert module.measured(tmp_path, 3) is catalog
    else:
        with pytest.raises(NoFrames, match=says):
            module.measured(tmp_path, 3)
    assert asked == [{"progress": None, "workers": 3}]

"""Past deliveries as choices: which frames files are, what they are set against, and what is refused."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from setsolver.errors import BadInput
from setsolver.usecases import deliveries as module
from setsolver.usecases import learn as learning
from setsolver.usecases.deliveries import DRAWN, delivered_choice, matched
from setsolver.usecases.learn import learn_taste
from setsolver.usecases.tastes import load_taste
from tests.rules.builders import make_frame, make_snapshot


def frame(path, number=0):
    return make_frame(number, "medium", place=(1.0, 0.0), path=path)


def shoot_of(*paths):
    return make_snapshot(*(frame(path, number) for number, path in enumerate(paths)))


@pytest.fixture
def shoot(tmp_path, monkeypatch):
    """Return a folder with a shoot of twenty frames, the first five starred, and an empty delivery beside it."""
    frames = [make_frame(i, "medium", rating=5 if i < 5 else None, place=(1.0, 0.0)) for i in range(20)]
    for one in (module, learning):
        monkeypatch.setattr(one, "scanned", lambda folder: {"lake": make_snapshot(*frames)}[Path(folder).name])
    (tmp_path / "lake").mkdir()
    (tmp_path / "prints").mkdir()
    (tmp_path / "b.toml").write_text('name = "b"\nsize = 3\nprint_cm = 20\n', encoding="utf-8")
    return tmp_path


def deliver(shoot, *names):
    for name in names:
        (shoot / "prints" / name).write_bytes(b"")
    return delivered_choice(shoot / "prints", shoot / "lake", str(shoot / "b.toml"))


@pytest.mark.parametrize(
    ("file", "path"),
    [
        ("0012.jpg", "yard/0012.jpg"),
        ("0012.tif", "yard/0012.jpg"),
        ("0012-print.jpg", "yard/0012.jpg"),
        ("0012 30x20 v2.jpg", "yard/0012.jpg"),
        ("KILN_07.JPG", "kiln/kiln_07.jpg"),
        ("kiln_07_web.jpg", "kiln/kiln_07.jpg"),
    ],
)
def test_a_delivered_file_is_the_frame_that_its_name_begins_with(file, path):
    assert matched([file], shoot_of("yard/0012.jpg", "kiln/kiln_07.jpg", "kiln/kiln.jpg")) == ([path], [])


@pytest.mark.parametrize("file", ["00123.jpg", "2.jpg", "kil.jpg", "kilns.jpg"])
def test_a_name_that_goes_on_is_another(file):
    assert matched([file], shoot_of("yard/0012.jpg", "kiln/kiln.jpg")) == ([], [file])


def test_a_frame_that_was_delivered_twice_counts_once():
    assert matched(["a-large.jpg", "a-web.jpg"], shoot_of("a.jpg", "b.jpg")) == (["a.jpg"], [])


def test_a_name_of_two_frames_is_asked_about():
    with pytest.raises(BadInput, match=r"0012\.jpg may be kiln/0012\.jpg or yard/0012\.jpg"):
        matched(["0012.jpg"], shoot_of("kiln/0012.jpg", "yard/0012.jpg"))


def test_others_are_drawn_of_the_same_size_and_none_is_the_delivery(shoot):
    choice, unknown = deliver(shoot, "frame-0000.jpg", "frame-0001-print.jpg", "frame-0002.jpg", "invoice.png")
    assert choice.chosen == ("frame-0000.jpg", "frame-0001.jpg", "frame-0002.jpg")
    assert unknown == ("invoice.png",)
    assert len(choice.over) == DRAWN
    assert all(len(set(one)) == 3 and set(one) != set(choice.chosen) for one in choice.over)


def test_a_delivery_of_starred_frames_lets_stars_weigh_more_and_counts_as_one_choice(shoot):
    delivery = deliver(shoot, *(f"frame-000{number}.jpg" for number in range(4)))
    taste, learned = learn_taste([], load_taste(), "mine", delivered=[delivery.choice])
    assert taste.weights["rating"] > load_taste().weights["rating"]
    assert taste.evidence.choices == 1
    more, _ = learn_taste([], load_taste(), "mine", delivered=[delivery.choice] * 5)
    assert more.weights["rating"] > taste.weights["rating"]
    assert learned.told > learned.told_before or learned.told == 1


def test_the_draw_is_the_same_for_the_same_seed(shoot):
    names = [f"frame-000{number}.jpg" for number in range(3)]
    first = deliver(shoot, *names).choice
    again, other = (delivered_choice(shoot / "prints", shoot / "lake", "b", seed).choice for seed in (0, 1))
    assert first.over == again.over
    assert first.over != other.over


@pytest.mark.parametrize(
    ("names", "says"),
    [
        ([], "holds no picture"),
        (["notes.txt"], "holds no picture"),
        (["frame-0000.jpg", "lake.jpg"], "1 of 2 pictures"),
        ([f"frame-00{number:02}.jpg" for number in range(20)], "prefers nothing"),
    ],
    ids=["empty", "no pictures", "another shoot", "everything"],
)
def test_a_delivery_that_says_nothing_is_refused(shoot, names, says):
    with pytest.raises(BadInput, match=says):
        deliver(shoot, *names)


def test_a_shoot_that_is_not_there_is_named(shoot):
    with pytest.raises(BadInput, match="sea is not there"):
        delivered_choice(shoot / "prints", shoot / "sea", "b")


def test_documents_are_not_drawn(monkeypatch, tmp_path):
    frames = [frame(f"{number:02}.jpg", number) for number in range(8)]
    odd = [replace(frame(f"{number:02}.jpg", number), said_kind="document") for number in range(8, 30)]
    monkeypatch.setattr(module, "scanned", lambda _: make_snapshot(*frames, *odd))
    for name in ("00.jpg", "01.jpg"):
        (tmp_path / name).write_bytes(b"")
    choice = delivered_choice(tmp_path, tmp_path, "b").choice
    drawn = np.unique([path for one in choice.over for path in one])
    assert set(drawn) <= {one.path for one in frames}


def test_a_delivery_moves_less_than_as_many_choices_as_sets_were_drawn(shoot):
    choice = deliver(shoot, *(f"frame-000{number}.jpg" for number in range(4))).choice
    delivered, _ = learn_taste([], load_taste(), "mine", delivered=[choice])
    chosen, _ = learn_taste([choice], load_taste(), "mine")
    assert chosen.evidence.choices == len(choice.over)
    assert load_taste().weights["rating"] < delivered.weights["rating"] < chosen.weights["rating"]


def test_the_delivery_is_never_drawn_against_itself(tmp_path, monkeypatch):
    monkeypatch.setattr(module, "scanned", lambda _: shoot_of("a.jpg", "b.jpg", "c.jpg"))
    for name in ("a.jpg", "b.jpg"):
        (tmp_path / name).write_bytes(b"")
    drawn = [delivered_choice(tmp_path, tmp_path, "b", seed).choice.over for seed in range(6)]
    assert all(len(over) == DRAWN for over in drawn)
    assert all(set(one) != {"a.jpg", "b.jpg"} for over in drawn for one in over)


def test_a_shoot_of_one_frame_more_whose_every_draw_is_the_delivery_is_drawn_again(tmp_path, monkeypatch):
    """Two of three were delivered, and the first eight draws are those two."""
    shoot = shoot_of("a.jpg", "b.jpg", "c.jpg")
    monkeypatch.setattr(module, "scanned", lambda _: shoot)
    for name in ("a.jpg", "b.jpg"):
        (tmp_path / name).write_bytes(b"")

    class Stubborn:
        def __init__(self, _seed):
            self.draws = 0

        def choice(self, could, size, replace):
            self.draws += 1
            return np.array(could[:size] if self.draws <= DRAWN else could[1:])

    monkeypatch.setattr(module.np.random, "default_rng", Stubborn)
    assert delivered_choice(tmp_path, tmp_path, "b").choice.over == (("b.jpg", "c.jpg"),) * DRAWN

"""What goes to the wall with the prints."""

from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from setsolver.domain.outcome import Placed
from setsolver.domain.plan import Plan, Wall
from setsolver.errors import BadInput
from setsolver.render.save import load_profile
from setsolver.usecases.finish import finish
from setsolver.usecases.finish_size import Wish
from tests.usecases.finishing import catalog_of, frame, outcome_of

PLAIN = Wish(load_profile(None))
PLACES = (Placed(x_cm=0, y_cm=0, width_cm=12, height_cm=8), Placed(x_cm=20, y_cm=0, width_cm=12, height_cm=8))
WALL = Wall(width_cm=100, height_cm=200, centre_cm=145, mount_cm=1, frame_cm=1, drop_cm=3)
PLAN = Plan(
    kind="row",
    width_cm=34,
    height_cm=10,
    gap_cm=4,
    rows=(2,),
    places=PLACES,
    says="",
    border_cm=2,
    wall=WALL,
    left_cm=33,
    top_cm=150,
    centre_cm=145,
)


def names(document):
    return tuple(made.file for made in document.files)


@pytest.fixture
def shoot(tmp_path):
    def make(plan):
        folder = tmp_path / "catalog"
        names = catalog_of(folder)
        frames = [frame(name, position=place) for name, place in zip(names, PLACES, strict=True)]
        outcome = outcome_of(folder, frames)
        found = outcome.sets[0].model_copy(update={"layout": plan})
        return outcome.model_copy(update={"sets": (found,)}), found, folder, tmp_path / "out"

    return make


def test_plan_and_picture_are_written_and_named(shoot):
    outcome, found, folder, out = shoot(PLAN)
    document = finish(outcome, found, folder, out, PLAIN)
    assert names(document) == ("lab.csv", "hanging-plan.pdf", "hanging-plan.svg", "wall.jpg")
    assert (out / "hanging-plan.pdf").read_bytes().startswith(b"%PDF-")
    assert (out / "hanging-plan.svg").read_bytes().startswith(b"<svg")


def test_the_plan_bears_the_brief_s_title_instead_of_its_slug(shoot):
    outcome, found, folder, out = shoot(PLAN)
    outcome = outcome.model_copy(update={"brief": {**outcome.brief, "title": "A day at the kiln"}})
    finish(outcome, found, folder, out, PLAIN)
    assert b"<title>A day at the kiln, 1:" in (out / "hanging-plan.svg").read_bytes()


def test_hooks_are_those_of_the_plan(shoot):
    """By hand: the first frame is 12 + 4 cm wide from 33 - 2 cm of its mount and frame on; top 150, wire 3 below."""
    outcome, found, folder, out = shoot(PLAN.model_copy(update={"left_cm": 35.0, "top_cm": 150.0}))
    hooks = [made.hook for made in finish(outcome, found, folder, out, PLAIN).prints]
    assert all(len(one) == 1 for one in hooks)
    assert hooks[1][0].from_left_cm - hooks[0][0].from_left_cm == pytest.approx(20)
    assert hooks[0][0].from_floor_cm == pytest.approx(hooks[1][0].from_floor_cm)
    assert 140 < hooks[0][0].from_floor_cm < 152


def test_the_picture_shows_the_prints_on_the_wall(shoot):
    outcome, found, folder, out = shoot(PLAN)
    finish(outcome, found, folder, out, PLAIN)
    with Image.open(out / "wall.jpg") as image:
        picture = np.asarray(image).astype(int)
    scale = picture.shape[1] / 100
    row = round((200 - 150 + 4) * scale)  # through the middle of the prints
    left, middle = picture[row, round(10 * scale)], picture[row - 60 : row + 60, round(36 * scale) : round(44 * scale)]
    assert np.ptp(left) < 15  # paint
    assert middle.std() > 10  # a picture


def test_a_set_on_pages_has_a_picture_and_no_hanging_plan(shoot):
    pages = (Placed(x_cm=0, y_cm=0, width_cm=20, height_cm=28), Placed(x_cm=20, y_cm=0, width_cm=20, height_cm=28))
    plan = Plan(kind="pair", width_cm=40, height_cm=28, gap_cm=1, rows=(1, 1), places=PLACES, pages=pages, says="")
    outcome, found, folder, out = shoot(plan)
    document = finish(outcome, found, folder, out, PLAIN)
    assert names(document) == ("lab.csv", "wall.jpg")
    assert document.prints[0].hook == ()


def test_proofs_for_a_message_need_no_plan(shoot):
    outcome, found, folder, out = shoot(PLAN)
    document = finish(outcome, found, folder, out, replace(PLAIN, format="jpeg", proof=200))
    assert names(document) == ("lab.csv",)


def test_a_print_that_is_missing_leaves_the_picture_out(shoot):
    outcome, found, folder, out = shoot(PLAN)
    (folder / "1.jpg").unlink()
    assert names(finish(outcome, found, folder, out, PLAIN)) == ("lab.csv", "hanging-plan.pdf", "hanging-plan.svg")


def test_finishing_again_writes_the_same_files_anew(shoot):
    outcome, found, folder, out = shoot(PLAN)
    first = finish(outcome, found, folder, out, PLAIN)
    assert finish(outcome, found, folder, out, PLAIN).files == first.files


def test_a_file_of_somebody_else_s_is_not_overwritten(shoot):
    outcome, found, folder, out = shoot(PLAN)
    finish(outcome, found, folder, out, PLAIN)
    (out / "wall.jpg").write_bytes(b"a picture of the cat")
    with pytest.raises(BadInput, match="not overwritten"):
        finish(outcome, found, folder, out, PLAIN)
    assert (out / "wall.jpg").read_bytes() == b"a picture of the cat"


MARKED = {"file": "hall.png", "corners": [[60, 50], [560, 50], [560, 350], [60, 350]], "width": 100, "height": 60}


def photographed(shoot, tmp_path, **changes):
    """A photograph straight on: 5 pixels to a centimetre; the marked rectangle begins 120 cm above the floor."""
    outcome, found, folder, out = shoot(PLAN)
    Image.fromarray(np.full((420, 640, 3), 170, np.uint8)).save(tmp_path / "hall.png")
    mark = {**MARKED, "file": str(tmp_path / "hall.png"), "bottom": 120, **changes}
    wall = {"width": 100, "height": 200, "mount": 1, "frame": 1, "photograph": mark}
    return outcome.model_copy(update={"brief": {**outcome.brief, "wall": wall}}), found, folder, out


def test_prints_are_shown_on_a_photograph_of_the_wall(shoot, tmp_path):
    outcome, found, folder, out = photographed(shoot, tmp_path)
    finish(outcome, found, folder, out, PLAIN)
    picture = np.asarray(Image.open(out / "wall.jpg"))
    assert picture.shape == (420, 640, 3)
    assert np.abs(picture[:20].astype(int) - 170).max() < 4
    left, top = 60 + 33 * 5, 350 + 120 * 5 - 150 * 5  # of the first print, above the floor, 120 cm below the mark
    assert (picture[top - 9 : top - 6, left : left + 60] < 110).all()  # frame
    assert (picture[top - 3, left : left + 60] > 225).all()  # mount
    inside = picture[top + 3 : top + 37, left + 3 : left + 57].astype(int)
    assert inside.std() > 5


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"file": "nowhere.png"}, "cannot be used"),
        ({"corners": [[60, 50], [5600, 50], [5600, 350], [60, 350]]}, "outside the photograph"),
    ],
)
def test_a_photograph_that_says_nothing_is_refused_before_any_print(shoot, tmp_path, changes, says):
    outcome, found, folder, out = photographed(shoot, tmp_path, **changes)
    with pytest.raises(BadInput, match=says):
        finish(outcome, found, folder, out, PLAIN)
    assert not out.exists()


def test_a_photograph_without_marks_is_refused(shoot, tmp_path):
    outcome, found, folder, out = shoot(PLAN)
    with pytest.raises(BadInput, match=r"mark four corners"):
        finish(outcome, found, folder, out, PLAIN, wall_photograph=tmp_path / "hall.png")

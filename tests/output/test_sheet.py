"""The sheet as one picture: its size, and the prints where the layout says, at its scale."""

from io import BytesIO
from itertools import pairwise

import numpy as np
import pytest
from PIL import Image

from setsolver.errors import BadInput
from setsolver.layout import plan_for
from setsolver.output import proof_png, sheet
from setsolver.output.lettering import fitted, font
from setsolver.output.pictures import Pictures
from setsolver.output.sheet import geometry
from setsolver.output.view.captions import caption_of
from setsolver.output.view.words import bound_in_words
from tests.output.builders import brief, clash, found, outcome, painted

KINDS = ["row", "grid", "pair", "story"]


def drawn(result, index=0):
    return np.asarray(Image.open(BytesIO(proof_png(result, painted, index))))


def where(result, top):
    wish = brief(layout=result.brief["layout"])
    placed = [f.position for f in result.sets[0].frames]
    return geometry(plan_for(wish, [(p.width_cm, p.height_cm) for p in placed]), placed, top)


def top_of_field(picture):
    return int(np.flatnonzero((picture[:, 1000] == 0xC6).all(axis=1))[0])


@pytest.mark.parametrize("kind", KINDS)
def test_prints_are_drawn_where_the_layout_says(kind):
    result = outcome(brief(layout={"kind": kind}))
    picture = drawn(result)
    assert picture.shape[1:] == (2000, 3)
    places = where(result, top_of_field(picture))
    pictures = Pictures(painted)
    for frame, (left, top, right, bottom) in zip(result.sets[0].frames, places.prints, strict=True):
        size = right - left, bottom - top
        wanted = Image.fromarray(pictures.finished(frame, max(size))).resize(size, Image.Resampling.LANCZOS)
        assert np.array_equal(picture[top:bottom, left:right], np.asarray(wanted))
        around = picture[top - 3 : top - 2, left:right].reshape(-1, 3)
        assert (around == around[0]).all()  # nothing of the print outside its place


@pytest.mark.parametrize("kind", KINDS)
def test_the_drawing_is_to_scale(kind):
    result = outcome(brief(layout={"kind": kind}))
    places = where(result, 300)
    for frame, (left, top, right, bottom) in zip(result.sets[0].frames, places.prints, strict=True):
        assert right - left == pytest.approx(frame.position.width_cm * places.scale, abs=1)
        assert bottom - top == pytest.approx(frame.position.height_cm * places.scale, abs=1)
        assert places.surround[0] < left
        assert right < places.surround[2]
        assert places.surround[1] < top
        assert bottom < places.surround[3]


def test_the_scale_bar_is_as_long_as_it_says():
    picture = drawn(outcome())
    places = where(outcome(), top_of_field(picture))
    dark = np.flatnonzero((picture[places.foot + 44, :] == 0x59).all(axis=1))
    bar = dark[: np.flatnonzero(np.diff(dark) > 1)[0] + 1] if (np.diff(dark) > 1).any() else dark
    assert len(bar) == pytest.approx(20 * places.scale, abs=4)  # 20 cm is the longest step up to a quarter of 162 cm


def test_captions_below_the_field_begin_with_their_number_at_the_margin():
    picture = drawn(outcome())
    foot = where(outcome(), top_of_field(picture)).foot

    def leftmost(rows):
        return int(np.flatnonzero((rows < 0x60).all(axis=2).any(axis=0))[0])

    assert leftmost(picture[foot + 118 : foot + 164]) == pytest.approx(leftmost(picture[60:160]), abs=8)


def test_each_set_can_be_drawn():
    first, second = (proof_png(outcome(), painted, index) for index in (0, 1))
    assert first != second


def test_a_set_that_is_not_there_is_refused():
    with pytest.raises(BadInput, match="there is no set 3 to draw; the outcome holds 2"):
        proof_png(outcome(), painted, 2)
    with pytest.raises(BadInput, match="no set 1"):
        proof_png(clash(), painted)


def test_long_and_odd_names_stay_on_the_paper():
    names = ("x" * 300 + ".jpg", "b\udcff\n.jpg", "日本語.jpg", "d.jpg", "e.jpg")
    picture = drawn(outcome(names=names))
    assert (picture[:, -60:] == 0xF6).all()


def test_moulding_and_mount_are_drawn_as_wide_as_they_are():
    """Along the middle line of each frame, from outside: the wall, 2 cm of moulding, 5 cm of mount, the print."""
    result = outcome(brief(wall={"width": 400, "height": 250, "mount": 5, "frame": 2}))
    picture = drawn(result)
    places = geometry(result.best.layout, [f.position for f in result.best.frames], top_of_field(picture))
    wall, moulding, mount = (0xC6,) * 3, (0x3B, 0x36, 0x31), (0xFB, 0xFA, 0xF6)
    wide, thin = round(7 * places.scale), round(2 * places.scale)
    assert len(places.frames) == 3
    for (left, top, right, bottom), inner in zip(places.frames, places.prints, strict=True):
        assert np.subtract((left, top, right, bottom), inner) == pytest.approx([-wide, -wide, wide, wide], abs=1)
        across, down = (left + right) // 2, (top + bottom) // 2
        row, column = picture[down], picture[:, across]
        for line, start, end in ((row, left, inner[0]), (column, top, inner[1])):
            assert [tuple(line[at]) for at in (start - 1, start, start + thin - 1)] == [wall, moulding, moulding]
            assert [tuple(line[at]) for at in (start + thin, end - 1)] == [mount, mount]
        for line, start, end in ((row, inner[2], right), (column, inner[3], bottom)):
            assert [tuple(line[at]) for at in (end, end - 1, end - thin)] == [wall, moulding, moulding]
            assert [tuple(line[at]) for at in (end - thin - 1, start)] == [mount, mount]


@pytest.mark.parametrize(("count", "columns", "rows"), [(1, 1, 1), (2, 2, 1), (3, 3, 1), (4, 3, 2), (40, 3, 14)])
def test_captions_are_read_down_the_columns_that_find_room(count, columns, rows):
    """By hand: 1,820 pixels between the margins are three columns of 580."""
    names = [f"{i:02d}.jpg" for i in range(count)]
    wish = brief(count, layout={"kind": "story", "columns": 8, "gap_cm": 2})
    one = found(wish, names)
    places = geometry(one.layout, [f.position for f in one.frames], 300)
    lines, bottom = sheet._foot(wish, places, one.layout, one)
    numbers = [line for line in lines if line.weight == "Semibold"]
    assert [line.text for line in numbers] == [str(n) for n in range(1, count + 1)]
    wide = (2000 - 2 * 90) / columns
    assert [(line.x, line.y) for line in numbers] == [
        (pytest.approx(90 + at // rows * wide), numbers[0].y + at % rows * 46) for at in range(count)
    ]
    captions = [line for line in lines if line.size < numbers[0].size and line.y < numbers[0].y + rows * 46]
    assert [line.y - 4 for line in captions] == [line.y for line in numbers]
    assert [line.text for line in captions] == [
        fitted(caption_of(wish, frame), font(captions[0].size), wide - 90) for frame in one.frames
    ]
    assert all(
        b.x < a.x and a.x + font(a.size).getlength(a.text) < b.x + wide for a, b in zip(captions, numbers, strict=True)
    )
    assert places.foot < numbers[0].y
    assert max(line.y for line in lines) < bottom < 4000


@pytest.mark.parametrize("index", [0, 1])
def test_title_brief_and_proof_stand_above_the_field_within_the_margins(index):
    result = outcome(brief(says="A wall of " + "bowls and jugs " * 15, title="The kiln day"))
    one = result.sets[index]
    lines, top = sheet._head(result, one, index)
    title, *rest = lines
    assert (title.text, title.size) == ("The kiln day" + ", set 2" * index, 76)
    counts = "3 prints chosen from 120 frames. " + bound_in_words(one, first=index == 0)
    assert " ".join(line.text for line in rest) == " ".join([result.brief["says"].strip(), counts])
    assert [b.y - a.y for a, b in pairwise(rest)] == [46] * (len(rest) - 1)
    assert title.y + 76 < rest[0].y
    assert rest[-1].y + 46 < top
    assert within_margins(lines)


def test_what_the_layout_is_stands_under_the_captions_with_its_advice():
    for wish, advised in ((brief(), True), (brief(2, layout={"kind": "pair"}), False)):
        one = found(wish, ("a.jpg", "b.jpg", "c.jpg")[: wish.size])
        places = geometry(one.layout, [f.position for f in one.frames], 300)
        lines, bottom = sheet._foot(wish, places, one.layout, one)
        below = [line for line in lines if line.x == 90 and line.weight == "Regular"]
        said = " ".join(line.text for line in below)
        assert said == f"{one.layout.says}. {sheet._ADVICE * advised}".strip()
        assert [b.y - a.y for a, b in pairwise(below)] == [40] * (len(below) - 1)
        assert below[0].y > max(line.y for line in lines if line.weight == "Semibold") + 46
        assert bottom == below[-1].y + 40
        assert within_margins(lines)


def within_margins(lines):
    return all(
        line.x >= 90 and line.x + font(line.size, line.weight).getlength(line.text) <= 2000 - 90 for line in lines
    )


@pytest.mark.parametrize("count", [2, 3, 9])
def test_a_set_is_as_wide_as_the_field_unless_it_would_be_higher_than_1500_pixels(count):
    """By hand: 2,000 less margins of 90 and room of 100 at both sides is 1,620."""
    wish = brief(count, layout={"kind": "story", "columns": 1 if count < 9 else 5, "gap_cm": 6})
    one = found(wish, [f"{n}.jpg" for n in range(count)])
    places = geometry(one.layout, [f.position for f in one.frames], 300)
    assert places.scale == pytest.approx(min(1620 / one.layout.width_cm, 1500 / one.layout.height_cm))
    assert places.surround[3] - places.surround[1] == pytest.approx(one.layout.height_cm * places.scale + 200, abs=1)
    assert min(left for left, *_ in places.prints) == pytest.approx(
        1000 - one.layout.width_cm * places.scale / 2, abs=1
    )

"""The wall as SVG: to scale, inert, with everything that the plan holds."""

import pytest
from lxml import etree

from setsolver.layout import hung
from setsolver.output.hanging import hanging_svg
from setsolver.output.hanging.drawing import Label, Line, draw_wall
from setsolver.output.hanging.words import CAUTIONS
from tests.output.builders import brief, outcome

SVG = "{http://www.w3.org/2000/svg}"
PLAN = outcome(brief(wall={"width": 420, "height": 250, "frame": 2})).best.layout


def parsed(plan=PLAN, title="The hall"):
    return etree.fromstring(hanging_svg(plan, title))


def test_it_is_to_the_scale_that_its_title_says():
    root = parsed()
    assert root.find(f"{SVG}title").text == "The hall, 1:11"  # 4,200 mm on at most 400 mm
    wall = next(r for r in root.iter(f"{SVG}rect") if r.get("class") == "wall")
    millimetres = float(root.get("width").removesuffix("mm")) / float(root.get("viewBox").split()[2])
    assert float(wall.get("width")) * millimetres == pytest.approx(4200 / 11, abs=0.02)
    bare = etree.fromstring(hanging_svg(PLAN, "The hall", cautions=False))
    tall = float(bare.get("height").removesuffix("mm")) / float(bare.get("viewBox").split()[3])
    assert float(wall.get("height")) * tall == pytest.approx(2500 / 11, abs=0.02)
    assert float(root.get("width").removesuffix("mm")) * 11 == pytest.approx(
        10 * float(root.get("viewBox").split()[2]), abs=1
    )


def test_lines_on_the_edges_of_the_wall_are_drawn_whole():
    bare = etree.fromstring(hanging_svg(PLAN, "The hall", cautions=False))
    left, top, width, height = (float(value) for value in bare.get("viewBox").split())
    assert left <= -0.4  # half of the floor's line, which is the widest
    assert top <= -0.4
    assert left + width >= 420.4
    assert top + height >= 250.4


def test_frames_lie_in_centimetres_of_the_wall():
    drawn = [r for r in parsed().iter(f"{SVG}rect") if r.get("class") == "frame"]
    for rect, frame in zip(drawn, hung(PLAN), strict=True):
        assert float(rect.get("x")) == pytest.approx(frame.left_cm, abs=1e-3)
        assert float(rect.get("y")) == pytest.approx(250 - frame.top_cm, abs=1e-3)
        assert float(rect.get("width")) == pytest.approx(frame.width_cm, abs=1e-3)


def test_every_frame_has_its_number_in_its_middle_and_its_hooks_below_its_top_edge():
    root = parsed()
    numbers = {text.text: text for text in root.iter(f"{SVG}text")}
    for frame in hung(PLAN):
        at = numbers[str(frame.number)]
        assert float(at.get("x")) == pytest.approx(frame.left_cm + frame.width_cm / 2, abs=0.01)
        assert 250 - frame.top_cm < float(at.get("y")) < 250 - frame.bottom_cm


def test_a_title_from_outside_is_inert():
    root = parsed(title="<script>alert(1)</script>\u202e")
    assert not list(root.iter(f"{SVG}script"))
    assert "\u202e" not in root.find(f"{SVG}title").text


def test_cautions_stand_below_the_wall():
    said = " ".join(text.text for text in parsed().iter(f"{SVG}text") if text.get("class") == "caution")
    assert said == " ".join(" ".join(caution.split()) for caution in CAUTIONS)
    low = min(float(t.get("y")) for t in parsed().iter(f"{SVG}text") if t.get("class") == "caution")
    assert low > 250


def test_prints_are_listed_below_the_wall_by_number_and_caption_with_their_hooks():
    called = ("The <yard>", "At the wheel", "Two hands \u202e")
    root = etree.fromstring(hanging_svg(PLAN, "The hall", called))
    listed = [text for text in root.iter(f"{SVG}text") if text.get("class") == "hooks"]
    hooks = [frame.hooks[0] for frame in hung(PLAN)]
    assert [text.text.split(": ")[0].split(". ") for text in listed] == [
        ["1", "The <yard>"],
        ["2", "At the wheel"],
        ["3", "Two hands \\u202e"],
    ]
    for text, hook in zip(listed, hooks, strict=True):
        assert f"hook {hook.left_cm:.1f} cm" in text.text
        assert f"{hook.floor_cm:.1f} cm" in text.text
        assert float(text.get("y")) > 250
    first_caution = min(float(t.get("y")) for t in root.iter(f"{SVG}text") if t.get("class") == "caution")
    assert max(float(text.get("y")) for text in listed) < first_caution


def test_a_cross_lies_at_every_hook():
    """Two centimetres to each side of it; y counts from the top of the wall."""
    crosses = [path.get("d") for path in parsed().iter(f"{SVG}path")]
    hooks = [frame.hooks[0] for frame in hung(PLAN)]
    assert crosses == [
        f"M{h.left_cm - 2:.3f} {250 - h.floor_cm:.3f}h4M{h.left_cm:.3f} {248 - h.floor_cm:.3f}v4" for h in hooks
    ]


def test_lines_and_labels_of_the_wall_are_all_there():
    drawing, root = draw_wall(PLAN), parsed()
    lines = [
        (*(float(line.get(key)) for key in ("x1", "y1", "x2", "y2")), line.get("class"))
        for line in root.iter(f"{SVG}line")
    ]
    wanted = [(s.x1, 250 - s.y1, s.x2, 250 - s.y2, s.style) for s in drawing.shapes if isinstance(s, Line)]
    assert [line[4] for line in lines] == [line[4] for line in wanted]
    assert [line[:4] for line in lines] == [pytest.approx(line[:4], abs=1e-3) for line in wanted]
    texts = [text for text in root.iter(f"{SVG}text") if text.get("class") is None]
    labels = [shape for shape in drawing.shapes if isinstance(shape, Label)]
    for text, label in zip(texts, labels, strict=True):
        size = float(text.get("font-size"))
        assert text.text == label.text
        assert size == pytest.approx(6 * label.size, abs=0.01)  # on a wall of 420 cm
        assert float(text.get("x")) == pytest.approx(label.x, abs=1e-3)
        assert float(text.get("y")) == pytest.approx(250 - label.y + size / 3, abs=0.01)


@pytest.mark.parametrize("called", [(), ("The yard", "At the wheel", "Two hands " * 30)])
def test_what_stands_below_the_wall_stands_in_the_picture_line_by_line(called):
    """By hand: 150 letters of 0.52 of their size to a line, lines 1.35 sizes apart; nothing is cut off at the foot."""
    root = etree.fromstring(hanging_svg(PLAN, "The hall", called))
    letter = 420 / 150 / 0.52
    below = [text for text in root.iter(f"{SVG}text") if text.get("class") in {"hooks", "caution"}]
    steps = [(float(text.get("y")) - 250) / letter / 1.35 for text in below]
    assert steps == pytest.approx(
        [n + (bool(called) and text.get("class") == "caution") for n, text in enumerate(below, 1)], abs=1e-3
    )
    assert {(float(text.get("x")), text.get("font-size")) for text in below} == {(0.0, f"{letter:.2f}")}
    assert max(len(text.text) for text in below) <= 150
    _, top, _, high = (float(value) for value in root.get("viewBox").split())
    assert top + high - 0.5 == pytest.approx(250 + (steps[-1] + 1) * letter * 1.35, abs=0.01)

"""What the sheet tells of alternates, near-duplicates, rules and held-back corrections."""

import pytest

from setsolver.domain.outcome import Correction, Covered, ToneRecord
from setsolver.output.view.alternates import alternates, comparison
from setsolver.output.view.frames import frame_views
from setsolver.output.view.page import page
from setsolver.output.view.ruled import repeats
from tests.output.builders import brief, clash, found, outcome, set_frame


def test_an_alternate_is_told_by_what_comes_goes_gains_and_loses():
    result = outcome()
    (alt,) = alternates(brief(), result, 600)
    assert alt.kept == 1
    assert {one.frame.path for one in alt.comes} == {"d.jpg", "e.jpg"}
    assert {one.frame.path for one in alt.goes} == {"b.jpg", "c.jpg"}
    assert [(c.name, round(c.points, 6)) for c in alt.gains] == [("Variety", 1.0)]
    assert [(c.name, round(c.points, 6)) for c in alt.loses] == [("Quality", -6.0)]
    assert alt.difference == pytest.approx(-5.0)
    assert alt.against == "\u22125.0 against set 1"
    assert sum(c.points for c in (*alt.gains, *alt.loses)) == pytest.approx(alt.difference)


def test_the_comparison_adds_up_in_every_column():
    table = comparison(outcome())
    for index, score in enumerate(table.scores):
        assert sum(row[index] for _, row in table.rows) == pytest.approx(score)


def test_near_duplicates_stand_beside_the_frame_that_beat_them():
    covered = tuple(Covered(path=f"n{i}.jpg", beaten_by="c.jpg", points=i - 1) for i in range(7))
    groups, more = repeats(outcome(repeats=covered), 200)
    assert more == 0
    assert (groups[0].name, groups[0].number, groups[0].more) == ("c.jpg", 3, 2)
    says = [beaten.by for beaten in groups[0].beaten[:3]]
    assert says == [
        "alone 1.0 point more; the set as a whole is worth less with it",
        "as many points",
        "1.0 point less",
    ]


def test_groups_beyond_the_limit_are_counted():
    covered = tuple(Covered(path=f"n{i}.jpg", beaten_by=f"w{i}.jpg", points=1) for i in range(20))
    groups, more = repeats(outcome(repeats=covered), 200)
    assert len(groups) + more == 20
    assert more == 4


def test_a_correction_that_was_held_back_is_told():
    dark = set_frame("b.jpg", tone=ToneRecord(black=1, mid=3, white=70), correction=Correction(black=6, mid=0, white=0))
    one = found(brief(), ("a.jpg", "b.jpg", "c.jpg"))
    held = one.model_copy(update={"frames": (one.frames[0], dark, one.frames[2])})
    assert page(outcome(sets=(held,))).best.held == (2,)
    assert page(outcome()).best.held == ()


def test_facts_of_a_frame_in_words():
    one = found(brief(), ("in/a.jpg", "b.jpg", "c.jpg"))
    first, second, _ = frame_views(brief(), one, 900, 500)
    facts = dict(first.facts)
    assert facts["File"] == "in/a.jpg"
    assert facts["Printed in"] == "colour"
    assert first.cut
    assert facts["Shot"] == "1 May 2024, 17:03"
    assert facts["Print"] == "50 \u00d7 50 cm at 203 pixels per inch"
    assert facts["Crop"] == "4000 \u00d7 4000 of 6000 \u00d7 4000 pixels, 67\u00a0% of the frame"
    assert facts["Levelling"] == "none needed"
    assert dict(second.facts)["Levelling"] == "turned 0.8\u00b0 counter-clockwise, at 3.0\u00a0% of the crop's area"
    whole = set_frame(crop=(0, 0, 1, 1), crop_width=6000, crop_height=4000)
    uncropped = one.model_copy(update={"frames": (whole, *one.frames[1:])})
    told = dict(frame_views(brief(), uncropped, 900, 500)[0].facts)
    assert told["Crop"] == "the whole frame, 6000 \u00d7 4000 pixels"
    assert second.tones[1] == ("Mid tone", "45.0", "+2.0", "47.0", "48.0")


def test_a_page_without_a_set_has_only_its_head_and_rules():
    empty = page(clash())
    assert empty.best is None
    assert empty.alternates == ()
    assert (empty.head.standing, page(outcome()).head.standing) == ("none", "proven")
    assert empty.head.statement == "No set of these frames keeps all rules of this brief."
    assert dict(empty.head.facts)["Wanted"] == "3 frames"


def test_pictures_get_smaller_in_large_sets():
    wish = brief(40)
    names = [f"{i}.jpg" for i in range(40)]
    large = page(outcome(wish, names, sets=(found(wish, names),), repeats=())).best.frames[0].finished.long_side
    assert large < page(outcome()).best.frames[0].finished.long_side


def test_a_print_of_the_whole_frame_is_not_shown_twice():
    whole = set_frame(crop=(0, 0, 1, 1), crop_width=6000, crop_height=4000)
    one = found(brief(), ("a.jpg", "b.jpg", "c.jpg"))
    views = frame_views(brief(), one.model_copy(update={"frames": (whole, *one.frames[1:])}), 900, 500)
    assert [view.cut for view in views] == [False, True, True]


def test_sizes_are_told_once_where_they_agree():
    assert dict(page(outcome()).head.facts)["Prints"] == "3 prints, 50 \u00d7 50 cm each"
    one = found(brief(), ("a.jpg", "b.jpg", "c.jpg"))
    small = one.frames[2].position.model_copy(update={"width_cm": 30.04, "height_cm": 20.0})
    mixed = one.model_copy(update={"frames": (*one.frames[:2], set_frame("c.jpg", position=small))})
    told = dict(page(outcome(sets=(mixed,))).head.facts)["Prints"]
    assert told == "3 prints: 2 of 50 \u00d7 50 cm, 1 of 30 \u00d7 20 cm"


def test_lines_for_the_client_come_from_the_brief():
    lines = {"title": "The kiln day", "client": "the school", "photographer": "Lakeside Pictures"}
    head = page(outcome(brief(**lines))).head
    assert (head.title, head.client, head.photographer) == tuple(lines.values())
    assert page(outcome()).head.title == "Hall three"


def test_the_outline_of_a_print_lies_on_its_frame_a_thousand_units_wide():
    """By hand: a crop from a fifth of the width and a twentieth of the height of a 3:2 frame, 60 by 90 per cent."""
    one = found(brief(), ("a.jpg", "b.jpg", "c.jpg"))
    view = frame_views(brief(), one, 900, 500)[0]
    assert view.field_height == pytest.approx(2000 / 3)
    assert set(view.outline.split()) == {"200.0,33.3", "800.0,33.3", "800.0,633.3", "200.0,633.3"}


def test_every_axis_that_the_brief_counts_has_a_row_from_shot_to_look():
    """By hand: the second frame is b* 5, corrected by -0.5, against a look of 4."""
    one = found(brief(), ("a.jpg", "b.jpg", "c.jpg"))
    rows = frame_views(brief(), one, 900, 500)[1].tones
    assert rows[:5] == (
        ("Black point", "9.0", "\u22120.5", "8.5", "8.0"),
        ("Mid tone", "45.0", "+2.0", "47.0", "48.0"),
        ("White point", "91.0", "0.0", "91.0", "92.0"),
        ("Cast a*", "1.0", "0.0", "1.0", "1.0"),
        ("Cast b*", "5.0", "\u22120.5", "4.5", "4.0"),
    )
    mono = brief(tone={"treatment": "mono"})
    grey = one.frames[0].model_copy(update={"treatment": "mono"})
    assert [row[0] for row in frame_views(mono, one.model_copy(update={"frames": (grey,)}), 9, 9)[0].tones[:4]] == [
        "Black point", "Mid tone", "White point",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("changes", "fact", "told"),
    [
        (
            {"level_degrees": -1.26, "level_cost": 0.004},
            "Levelling",
            "turned 1.3\u00b0 clockwise, at 0.4\u00a0% of the crop's area",
        ),
        ({"level_degrees": -0.04}, "Levelling", "none needed"),
        (
            {"rendition": "tighter"},
            "Crop",
            "4000 x 4000 of 6000 x 4000 pixels, 67\u00a0% of the frame; a tighter view of the frame",
        ),
        (
            {"crop_width": 5969, "crop_height": 4000},
            "Crop",
            "5969 x 4000 of 6000 x 4000 pixels, 99\u00a0% of the frame",
        ),
        ({"crop_width": 5971, "crop_height": 4000}, "Crop", "the whole frame, 5971 x 4000 pixels"),
        ({"treatment": "mono"}, "Printed in", "black and white"),
        ({"scale": {"wide": 0.8, "close": 0.2}}, "Reads as", "wide 80\u00a0%, close 20\u00a0%"),
        ({"time": None}, "Shot", "time unknown"),
    ],
)
def test_facts_say_what_was_done_to_a_frame(changes, fact, told):
    one = found(brief(), ("a.jpg", "b.jpg", "c.jpg"))
    with_it = one.model_copy(update={"frames": (set_frame(**changes), *one.frames[1:])})
    assert dict(frame_views(brief(), with_it, 900, 500)[0].facts)[fact].replace("\u00d7", "x") == told

"""Learning from files of choices: what is read, what is said, and what is refused."""

import json

import pytest

from setsolver.errors import BadInput
from setsolver.usecases import learn as module
from setsolver.usecases.learn import contradictions, learn_taste, learned_document, preferences_of, read_choices
from setsolver.usecases.tastes import load_taste
from tests.rules.builders import make_frame, make_snapshot

ONE, OTHER = (
    ["frame-0000.jpg", "frame-0001.jpg", "frame-0002.jpg"],
    ["frame-0003.jpg", "frame-0004.jpg", "frame-0005.jpg"],
)


@pytest.fixture
def shoot(tmp_path, monkeypatch):
    """Return a folder whose catalog is three starred frames and three without; all alike but for that."""
    frames = [make_frame(i, "medium", rating=5 if i < 3 else None, place=(1.0, 0.0)) for i in range(6)]
    monkeypatch.setattr(module, "scanned", lambda _: make_snapshot(*frames))
    (tmp_path / "lake").mkdir()
    (tmp_path / "b.toml").write_text('name = "b"\nsize = 3\nprint_cm = 20\n', encoding="utf-8")
    return tmp_path


def write(folder, *choices):
    lines = [
        json.dumps({"catalog": "lake", "made": "2026-05-02", "brief": str(folder / "b.toml")} | one) for one in choices
    ]
    (folder / "c.jsonl").write_text("\n\n".join(lines) + "\n", encoding="utf-8")
    return [folder / "c.jsonl"]


def test_stars_that_are_chosen_gain_weight_and_the_taste_says_on_what_it_rests(shoot):
    choices = read_choices(write(shoot, *[{"chosen": ONE, "over": [OTHER]}] * 4))
    taste, learned = learn_taste(choices, load_taste(), "mine")
    assert learned.moves[0].term == "rating"
    assert taste.weights["rating"] > load_taste().weights["rating"]
    assert (taste.evidence.choices, taste.evidence.shoots) == (4, 1)
    document = learned_document(taste, learned, ())
    assert document["told"] == 1.0
    assert json.loads(json.dumps(document)) == document


def test_what_a_set_is_worth_is_what_check_says(shoot):
    (preference,) = preferences_of(read_choices(write(shoot, {"chosen": ONE, "over": [OTHER]})))
    assert (preference.chosen["rating"], preference.over["rating"]) == (3, 0)


def test_choices_that_contradict_each_other_are_said_and_move_nothing(shoot):
    choices = read_choices(write(shoot, {"chosen": ONE, "over": [OTHER]}, {"chosen": OTHER, "over": [ONE]}))
    (says,) = contradictions(choices)
    assert "each of two sets was preferred to the other" in says
    taste, _ = learn_taste(choices, load_taste(), "mine")
    assert taste.weights == pytest.approx(load_taste().weights)


@pytest.mark.parametrize(
    ("choice", "says"),
    [
        ({"chosen": [*ONE[:2], "gone.jpg"], "over": [OTHER]}, "gone.jpg of a choice is not a frame of"),
        ({"chosen": ONE, "over": [OTHER], "catalog": "sea"}, "sea of a choice is not there"),
    ],
    ids=["a frame that is gone", "another catalog"],
)
def test_what_is_not_there_is_named(shoot, choice, says):
    with pytest.raises(BadInput, match=says):
        preferences_of(read_choices(write(shoot, choice)))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("{", "line 1: Invalid JSON"),
        ('{"catalog": "a", "brief": "b", "made": "", "chosen": ["x"]}', "line 1: over: Field required"),
        ("", "no choice in these files"),
    ],
    ids=["no JSON", "a key missing", "empty"],
)
def test_a_file_that_holds_no_choices_says_so(tmp_path, text, says):
    (tmp_path / "c.jsonl").write_text(text, encoding="utf-8")
    with pytest.raises(BadInput, match=says):
        read_choices([tmp_path / "c.jsonl"])


def test_an_answer_that_prefers_none_says_nothing(shoot):
    files = write(shoot, {"chosen": [], "over": [ONE, OTHER]}, {"chosen": ONE, "over": [OTHER]})
    assert len(read_choices(files)) == 1


def test_a_weight_that_the_taste_leaves_out_is_learned_from_its_default(shoot):
    """A brief takes it so, too; what is learned names every term, and the sets are solved by what was learned."""
    whole = load_taste()
    weights = {name: points for name, points in whole.weights.items() if name != "doing"}
    choices = read_choices(write(shoot, *[{"chosen": ONE, "over": [OTHER]}] * 4))
    full, _ = learn_taste(choices, whole, "mine")
    taste, _ = learn_taste(choices, whole.model_copy(update={"weights": weights}), "mine")
    assert dict(taste.weights) == dict(full.weights)
    assert taste.weights["doing"] == whole.weights["doing"]


def test_a_weight_that_the_taste_names_is_learned_from_what_it_says(shoot):
    """Choices of stars leave ``people`` where it was: 40 in the taste of stories, not the default's 10."""
    choices = read_choices(write(shoot, {"chosen": ONE, "over": [OTHER]}))
    story = load_taste("story")
    taste, _ = learn_taste(choices, story, "mine")
    assert story.weights["people"] != load_taste().weights["people"]
    assert taste.weights["people"] == pytest.approx(story.weights["people"], abs=1e-3)

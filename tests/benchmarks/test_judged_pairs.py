"""Sets for judges: made, rendered without a name, and counted as they were answered."""

import csv
import importlib
import shutil
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from setsolver.api import Catalog
from setsolver.domain.measures import SCALES

ROOT = Path(__file__).parents[2]
COLOURS = {"new": (200, 30, 30), "hand": (30, 30, 200)}


@pytest.fixture(scope="module")
def taste():
    """The scripts, imported as they import one another."""
    sys.path.insert(0, str(ROOT / "benchmarks" / "taste"))
    names = ("judged_sets", "make_sets", "render_pairs", "count_votes")
    yield {name: importlib.import_module(name) for name in names}
    sys.path.remove(str(ROOT / "benchmarks" / "taste"))


def run(module, monkeypatch, *options):
    monkeypatch.setattr(sys, "argv", [module.__name__, *map(str, options)])
    module.main()


@pytest.fixture
def plain(taste, tmp_path):
    """Six shoots of plain pictures, red ones in the sets of one maker and blue ones in those of the other."""
    prints = []
    for shoot in "abcdef":
        folder = tmp_path / "shoots" / shoot
        folder.mkdir(parents=True)
        for maker, colour in COLOURS.items():
            for place in range(1, 6):
                Image.new("RGB", (320, 240), colour).save(folder / f"{maker}{place}.jpg", quality=95)
        for kind, count in taste["judged_sets"].KINDS.items():
            crop = (0.125, 0.0, 0.75, 1.0) if kind == "three" else (0.0, 0.05, 1.0, 8 / 9)
            for maker in COLOURS:
                prints += [
                    taste["judged_sets"].Print(shoot, kind, maker, place, f"{maker}{place}", *crop, 0.0)
                    for place in range(1, count + 1)
                ]
    taste["judged_sets"].write(tmp_path / "sets.csv", prints)
    return tmp_path


def rendered(taste, plain, monkeypatch, seed=1, out="pairs"):
    options = (plain / "shoots", plain / out, plain / "sets.csv", "--against", "hand", "--seed", seed)
    run(taste["render_pairs"], monkeypatch, *options)
    with (plain / out / "pairs.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def test_a_table_comes_back_as_it_was_written(taste, plain):
    sets = taste["judged_sets"].read([plain / "sets.csv"])
    assert len(sets) == 6 * 2 * 2
    assert [one.photograph for one in sets["a", "three", "hand"]] == ["hand1", "hand2", "hand3"]
    assert sets["a", "five", "new"][0].crop == pytest.approx((0.0, 0.05, 1.0, 0.8889, 0.0))


@pytest.mark.parametrize("change", [lambda lines: lines[:-1], lambda lines: [*lines, lines[-1]]])
def test_a_set_that_misses_a_print_or_has_it_twice_is_refused(taste, plain, change):
    lines = (plain / "sets.csv").read_text(encoding="utf-8").splitlines()
    (plain / "sets.csv").write_text("\n".join(change(lines)), encoding="utf-8")
    with pytest.raises(SystemExit, match="five of hand of shoot f has the places"):
        taste["judged_sets"].read([plain / "sets.csv"])


def test_each_row_of_a_picture_shows_the_set_that_the_key_says(taste, plain, monkeypatch):
    rows = rendered(taste, plain, monkeypatch)
    assert len(rows) == 12
    for row in rows:
        with Image.open(plain / "pairs" / f"{row['pair']}.png") as picture:
            wall = np.asarray(picture.convert("RGB")).astype(int)
        half = wall.shape[0] // 2
        for part, maker in ((wall[:half], row["row 1"]), (wall[half:], row["row 2"])):
            near = {name: (abs(part - colour).max(axis=2) < 12).mean() for name, colour in COLOURS.items()}
            assert near.pop(maker) > 0.5
            assert all(share == 0 for share in near.values())


def test_sides_and_order_are_drawn_by_the_seed_and_nobody_is_always_above(taste, plain, monkeypatch):
    first, again, other = (
        rendered(taste, plain, monkeypatch, seed, out) for seed, out in ((1, "one"), (1, "again"), (2, "two"))
    )
    assert first == again
    assert first != other
    above = [row["row 1"] for row in (*first, *other)]
    assert 4 <= above.count("new") <= 20  # 12 of 24 expected


def test_a_picture_says_no_name(taste, plain, monkeypatch):
    rendered(taste, plain, monkeypatch)
    with Image.open(plain / "pairs" / "0001.png") as picture:
        assert not picture.info
        assert not picture.getexif()
    data = (plain / "pairs" / "0001.png").read_bytes()
    assert all(name not in data for name in (b"hand", b"new1"))


def test_sets_with_the_same_prints_are_no_pair(taste, plain, monkeypatch, capsys):
    text = (plain / "sets.csv").read_text(encoding="utf-8")
    (plain / "sets.csv").write_text(text.replace(",hand1,", ",new1,").replace(",hand2,", ",new2,"), encoding="utf-8")
    text = (plain / "sets.csv").read_text(encoding="utf-8")
    (plain / "sets.csv").write_text(text.replace("a,three,hand,3,hand3", "a,three,hand,3,new3"), encoding="utf-8")
    assert len(rendered(taste, plain, monkeypatch)) == 11
    assert "a, three: new and hand have the same prints" in capsys.readouterr().out


def test_a_folder_of_pairs_is_not_written_over(taste, plain, monkeypatch):
    rendered(taste, plain, monkeypatch)
    with pytest.raises(FileExistsError):
        rendered(taste, plain, monkeypatch)


def test_votes_are_counted_for_whoever_hung_in_the_row(taste, plain, monkeypatch, capsys):
    """A judge who sees the key and always takes the same maker."""
    rows = rendered(taste, plain, monkeypatch)
    for judge, wanted in (("one", "new"), ("two", "hand")):
        lines = [f"{row['pair']},{1 if row['row 1'] == wanted else 2},3,dull, says {judge}" for row in rows]
        (plain / f"{judge}.csv").write_text("\n".join(lines), encoding="utf-8")
    votes = plain / "votes.csv"
    shutil.copy(taste["count_votes"].VOTES, votes)
    monkeypatch.setattr(taste["count_votes"], "VOTES", votes)
    before = votes.read_text(encoding="utf-8")
    answers = [f"judge {judge}={plain / judge}.csv" for judge in ("one", "two")]
    capsys.readouterr()
    run(taste["count_votes"], monkeypatch, plain / "pairs", answers[0], "--keep", "a round of tests")
    said = capsys.readouterr().out
    assert "| all | 12 of 12, 100% (76 to 100) |" in said
    assert "| threes | 6 of 6, 100% (61 to 100) |" in said
    assert said.endswith("12 of 12 pairs judged\n")
    added = list(csv.reader(votes.read_text(encoding="utf-8").removeprefix(before).splitlines()))
    assert len(added) == 12
    assert all(line[0] == "a round of tests" and line[5:7] == ["new", "hand"] for line in added)
    assert added[0][8] == "dull,says one"
    run(taste["count_votes"], monkeypatch, plain / "pairs", *answers)
    said = capsys.readouterr().out
    assert "| all | 12 of 24, 50% (31 to 69) |" in said
    assert "12 of 12 pairs judged; two judges agree on 0 of 12" in said
    with pytest.raises(SystemExit, match="has a round 'a round of tests' already"):
        run(taste["count_votes"], monkeypatch, plain / "pairs", answers[0], "--keep", "a round of tests")


@pytest.mark.parametrize("answer", ["0001,3,2,x", "0099,1,2,x", "0001,1,4,x", "0001,1,2,x\n0001,2,2,x"])
def test_an_answer_that_is_none_is_said(taste, plain, monkeypatch, answer):
    rendered(taste, plain, monkeypatch)
    (plain / "bad.csv").write_text(answer, encoding="utf-8")
    with pytest.raises(SystemExit, match="wanted a pair's number once"):
        run(taste["count_votes"], monkeypatch, plain / "pairs", f"judge={plain / 'bad.csv'}")


@pytest.mark.parametrize(
    ("won", "of", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_intervals_are_the_published_ones(taste, won, of, low, high):
    """R. G. Newcombe, Statistics in Medicine 17 (1998), 857-872, table I, method 3; from memory."""
    said = taste["count_votes"].share(won, of)
    assert said == f"{won} of {of}, {won / of:.0%} ({100 * low:.0f} to {100 * high:.0f})"


@pytest.fixture(scope="module")
def made(taste, tmp_path_factory):
    """A shoot of 24 frames of the demo, with the tool's sets, rivals and a set picked by eye."""
    folder = tmp_path_factory.mktemp("made")
    shoot = folder / "shoots" / "pottery"
    shoot.mkdir(parents=True)
    frames = sorted((ROOT / "demo_catalog").glob("*/*.jpg"))[::3][:24]
    for frame in frames:
        shutil.copy(frame, shoot / f"{frame.parent.name}-{frame.name}")
    names = [path.stem for path in sorted(shoot.glob("*.jpg"))]
    lines = ["shoot,kind,maker,place,photograph", *(f"pottery,three,hand,{k},{names[7 * k]}" for k in (1, 2, 3))]
    lines.append("pottery,five,hand,1,nowhere")
    (folder / "picks.csv").write_text("\n".join(lines), encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        options = (folder / "shoots", folder / "sets.csv", "--picks", folder / "picks.csv", "--rivals")
        run(taste["make_sets"], patch, *options)
    return folder


def test_every_maker_has_its_sets_with_crops_within_the_frame(taste, made):
    sets = taste["judged_sets"].read([made / "sets.csv"])
    kinds = {(kind, maker) for _, kind, maker in sets}
    assert kinds == {
        ("three", "hand"),
        *((kind, maker) for kind in ("three", "five") for maker in ("new", "greedy", "random")),
    }
    for prints in sets.values():
        assert len({one.photograph for one in prints}) == len(prints)
        for one in prints:
            assert one.left >= 0
            assert one.top >= 0
            assert one.left + one.width <= 1.001
            assert one.top + one.height <= 1.001


def test_prints_have_the_shape_of_their_kind(taste, made):
    size = {}
    for path in (made / "shoots" / "pottery").glob("*.jpg"):
        with Image.open(path) as picture:
            size[path.stem] = picture.size
    for (_, kind, _), prints in taste["judged_sets"].read([made / "sets.csv"]).items():
        for one in prints:
            width, height = size[one.photograph]
            wanted = 1.0 if kind == "three" else 1.5
            assert one.width * width / (one.height * height) in (
                pytest.approx(wanted, rel=0.01),
                pytest.approx(1 / wanted, rel=0.01),
            )


def test_greedy_takes_the_best_quality_of_each_scale(taste, made):
    """By hand: the first print is the sharpest of the wide frames that can be printed."""
    frames = Catalog.open(made / "shoots" / "pottery").frames()
    greedy = taste["judged_sets"].read([made / "sets.csv"])["pottery", "three", "greedy"]
    for one, scale in zip(greedy, ("wide", "medium", "close"), strict=True):
        mine = next(frame for frame in frames if Path(frame.path).stem == one.photograph)
        same = [frame for frame in frames if SCALES[int(np.argmax(frame.odds))] == scale]
        if same:
            assert mine in same
    wide = [frame for frame in frames if SCALES[int(np.argmax(frame.odds))] == "wide"]
    assert greedy[0].photograph == Path(max(wide, key=lambda frame: frame.measures.quality).path).stem


def test_a_pick_that_is_not_there_is_said(taste, tmp_path, made, capsys, monkeypatch):
    run(taste["make_sets"], monkeypatch, made / "shoots", tmp_path / "again.csv", "--picks", made / "picks.csv")
    assert "nowhere, picked by hand, is not among the frames that can be printed" in capsys.readouterr().err


def test_a_table_of_sets_is_not_written_over(taste, made, monkeypatch):
    before = (made / "picks.csv").read_bytes()
    with pytest.raises(SystemExit, match=r"picks\.csv is there already"):
        run(taste["make_sets"], monkeypatch, made / "shoots", made / "picks.csv", "--rivals")
    assert (made / "picks.csv").read_bytes() == before

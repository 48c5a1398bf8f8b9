"""``suggest``: text, JSON, exit codes, what it writes, and bad input."""

import json

import pytest

from setsolver.cli.measured import _prepare
from setsolver.errors import BadBrief, BadInput, NoFrames
from setsolver.usecases.problem_file import load
from tests.cli.conftest import run
from tests.cli.shoot import draw


def contents(folder):
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file() and ".setsolver" not in path.parts}


def test_the_json_is_a_proven_outcome_whose_ledgers_add_up(suggested):
    _, document = suggested
    assert (document["format"], document["version"]) == ("setsolver/outcome", 2)
    assert len(document["sets"]) >= 2
    for found in document["sets"]:
        assert found["proven"]
        assert sum(line["points"] for line in found["ledger"]) == pytest.approx(found["score"], abs=1e-6)


def test_the_folder_holds_the_same_document_a_page_and_a_picture(suggested):
    out, document = suggested
    assert json.loads((out / "outcome.json").read_text("utf-8")) == document
    page = (out / "proof.html").read_text("utf-8")
    assert all(frame["path"] in page for frame in document["sets"][0]["frames"])
    assert (out / "proof.png").read_bytes().startswith(b"\x89PNG")
    assert {path.name for path in out.iterdir()} == {"outcome.json", "proof.html", "proof.png"}


@pytest.fixture
def launched(monkeypatch):
    """Return what is opened, instead of opening it."""
    opened = []
    monkeypatch.setattr("click.launch", opened.append)
    return opened


def test_the_text_names_sets_points_proof_and_the_sheet_which_is_opened(scanned, brief_file, tmp_path, launched):
    code, text, _ = run("suggest", scanned, "--brief", brief_file, "--out", tmp_path / "o", "--open", "-k", 1)
    assert launched == [(tmp_path / "o" / "proof.html").as_uri()]
    assert code == 0
    assert "Set 1" in text
    assert "proven" in text
    assert str(tmp_path / "o" / "proof.html") in text


def test_the_problem_file_can_be_solved_again_to_the_same_score(scanned, brief_file, tmp_path, suggested):
    file = tmp_path / "p.npz"
    run("suggest", scanned, "-b", brief_file, "--out", tmp_path / "o", "--no-open", "-k", 0, "--save-problem", file)
    assert load(file).size == 3
    code, text, _ = run("solve", file, "--json")
    assert code == 0
    assert json.loads(text)["solutions"][0]["score"] == pytest.approx(suggested[1]["sets"][0]["score"], abs=1e-6)


def test_rules_that_cannot_hold_exit_with_one_and_write_the_page_of_clashes(scanned, tmp_path):
    brief = tmp_path / "tight.toml"
    brief.write_text(
        'name = "tight"\nsize = 3\nprint_cm = 20\nmin_ppi = 60\n[tone]\n'
        "reach = { black = 0, mid = 90, white = 90, cast = 90 }\nslack = { black = 0, mid = 3, white = 3, cast = 3 }\n",
        encoding="utf-8",
    )
    code, text, _ = run("suggest", scanned, "--brief", brief, "--out", tmp_path / "o", "--no-open")
    assert code == 1
    assert "cannot hold together" in text
    assert "->" in text
    assert (tmp_path / "o" / "proof.html").is_file()
    assert not (tmp_path / "o" / "proof.png").exists()


def test_prints_larger_than_the_pixels_exit_with_one_and_say_so(scanned, tmp_path):
    brief = tmp_path / "large.toml"
    brief.write_text('name = "large"\nsize = 3\nprint_cm = 200\nmin_ppi = 300\n', encoding="utf-8")
    code, text, _ = run("suggest", scanned, "--brief", brief, "--out", tmp_path / "o", "--no-open")
    assert code == 1
    assert "pixels" in text


def test_the_nearest_brief_with_a_set_is_said_written_and_works(scanned, tmp_path):
    tight, near = tmp_path / "tight.toml", tmp_path / "near.toml"
    tight.write_text(
        'name = "tight"\nsize = 3\nprint_cm = 20\nmin_ppi = 60\n[tone]\n'
        "reach = { black = 0, mid = 90, white = 90, cast = 90 }\nslack = { black = 0, mid = 3, white = 3, cast = 3 }\n",
        encoding="utf-8",
    )
    options = ("--no-open", "-k", 0, "--save-brief", near)
    code, said, _ = run("suggest", scanned, "--brief", tight, "--out", tmp_path / "o", *options)
    assert code == 1
    assert "near miss: with a reach of black point " in said
    assert f"that brief is written to {near}" in said
    (miss,) = json.loads((tmp_path / "o" / "outcome.json").read_text("utf-8"))["near"]
    assert (miss["key"], miss["points"]) == ("tone.reach.black", None)
    assert run("suggest", scanned, "--brief", near, "--out", tmp_path / "o2", "--no-open", "-k", 0)[0] == 0
    with pytest.raises(BadInput, match="exists already"):
        run("suggest", scanned, "--brief", tight, "--out", tmp_path / "o3", *options)


def test_prices_that_change_nothing_are_one_line(scanned, brief_file, tmp_path):
    options = ("--no-open", "-k", 0, "--prices")
    _, said, _ = run("suggest", scanned, "--brief", brief_file, "--out", tmp_path / "o", *options)
    lines = [line for line in said.splitlines() if line.startswith("price: ")]
    assert sum("would stay the same" in line for line in lines) <= 1
    assert not any("nothing" in line for line in lines)
    assert lines


def test_an_outcome_is_never_written_over(scanned, brief_file, suggested):
    with pytest.raises(BadInput, match="holds files already"):
        run("suggest", scanned, "--brief", brief_file, "--out", suggested[0], "--no-open", "-k", 0)


@pytest.mark.parametrize("option", ["--out", "--save-problem"])
def test_no_option_writes_over_an_original_nor_beside_it(copy, brief_file, tmp_path, option):
    draw(99).save(copy / "proof.png")
    before = contents(copy)
    place = copy if option == "--out" else copy / "morning" / "0001.jpg"
    with pytest.raises(BadInput, match=r"left alone|not overwritten"):
        run("suggest", copy, "-b", brief_file, "--no-open", "-k", 0, "--out", tmp_path / "o", option, place)
    assert contents(copy) == before
    assert not (tmp_path / "o").exists()


@pytest.mark.parametrize("option", ["--out", "--save-problem", "--save-brief"])
def test_a_name_that_is_taken_is_said_before_an_hour_of_measuring(brief_file, tmp_path, option):
    taken, folder = tmp_path / "taken", tmp_path / "pottery"
    folder.mkdir()
    taken.write_bytes(b"theirs")
    with pytest.raises(BadInput, match="not overwritten"):
        run("suggest", folder, "-b", brief_file, "--no-open", "--out", tmp_path / "o", option, taken)
    assert list(folder.iterdir()) == []
    assert taken.read_bytes() == b"theirs"


def test_without_out_the_folder_is_named_by_brief_and_date(scanned, brief_file, tmp_path, monkeypatch, launched):
    monkeypatch.chdir(tmp_path)
    run("suggest", scanned, "--brief", brief_file, "-k", 0)
    assert launched == []  # no terminal
    (folder,) = (tmp_path / "sets").iterdir()
    assert folder.name.startswith("any-three-")


def test_sets_written_inside_the_catalog_are_not_frames_of_the_next_scan(copy, brief_file, monkeypatch):
    monkeypatch.chdir(copy)
    run("suggest", copy, "--brief", brief_file, "--no-open", "-k", 0)
    _, text, _ = run("scan", copy, "--json")
    assert json.loads(text)["frames"] == 8


def test_names_from_the_disk_stay_inert_in_the_page(copy, brief_file, tmp_path):
    odd = "<script>alert(1)<&'\"\n.jpg"
    next((copy / "morning").iterdir()).rename(copy / odd.replace("/", "_"))
    out = tmp_path / "o"
    run("suggest", copy, "--brief", brief_file, "--out", out, "--no-open", "-k", 3, "--differ", 1)
    assert "<script>alert" not in (out / "proof.html").read_text("utf-8")


@pytest.mark.parametrize(
    ("make", "error", "words"),
    [
        (lambda path: path / "nowhere", BadInput, "does not exist"),
        (lambda path: path, NoFrames, "photograph"),
    ],
)
def test_a_folder_without_photographs_says_what_to_do(tmp_path, make, error, words):
    with pytest.raises(error, match=words):
        run("suggest", make(tmp_path), "--no-open", "--out", tmp_path / "o")


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("sise = 3", "size"),
        ('size = "three"', "size"),
        ("size = 99", "99"),
        ("size = 3\n[roles]\nbride = [1, 1]", "bride"),
        ("size = 3\n[roles]\nwide = [2, 1]", "2"),
    ],
)
def test_a_brief_with_a_mistake_is_told_before_anything_is_written(scanned, tmp_path, line, words):
    brief = tmp_path / "b.toml"
    brief.write_text(f'name = "b"\nprint_cm = 20\nmin_ppi = 60\n{line}\n', encoding="utf-8")
    with pytest.raises(BadBrief, match=words):
        run("suggest", scanned, "--brief", brief, "--no-open", "--out", tmp_path / "o")
    assert not (tmp_path / "o").exists()


@pytest.mark.parametrize(("takes", "says"), [(0.1, ""), (8.0, "compiled the solver in 8 s, once after installing")])
def test_the_first_use_says_what_it_waited_for_and_later_ones_say_nothing(capsys, takes, says):
    class Compiling:
        left = takes

        def wait(self, most=60.0):
            took = min(most, self.left)
            self.left -= took
            return took

    _prepare(Compiling())
    err = capsys.readouterr().err
    assert says in err
    assert bool(err) is bool(says)

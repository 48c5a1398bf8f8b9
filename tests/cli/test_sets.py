"""``compare``, ``why``, ``check`` and ``gaps``: text, JSON and exit codes on a real catalog."""

import json
import os
import subprocess
import sys
from copy import deepcopy

import pytest

from setsolver.errors import BadInput, NoSuchFrame
from setsolver.usecases.home import home_of
from tests.cli.conftest import run


def chosen(document, number=0):
    return [frame["path"] for frame in document["sets"][number]["frames"]]


def test_compare_lays_two_sets_side_by_side(suggested):
    out, document = suggested
    code, text, _ = run("compare", f"{out}#1", f"{out}#2", "--json")
    compared = json.loads(text)
    assert code == 0
    assert compared["format"] == "setsolver/comparison"
    assert compared["pairs"][0]["only_first"] == [p for p in chosen(document) if p not in chosen(document, 1)]


def test_numbers_of_three_compared_sets_stand_at_the_right(suggested):
    code, text, _ = run("compare", *[f"{suggested[0]}#{number}" for number in (1, 2, 1)])
    assert code == 0
    lines = text.split("\n")
    for head in ("points by rule", "look "):
        at = next(number for number, line in enumerate(lines) if line.startswith(head))
        rows = lines[at + 1 : lines.index("", at) if "" in lines[at:] else None]
        assert len(rows) > 3
        assert len({len(row) for row in rows}) == 1  # lines end with numbers of any width, at one place


@pytest.mark.parametrize(("vignette", "shown"), [((0.0, 0.0), False), ((0.0, 1.5), True)])
def test_compare_shows_every_tone_and_further_axes_where_a_set_has_any(suggested, tmp_path, vignette, shown):
    document = deepcopy(suggested[1])  # others look at it, too
    for one, amount in zip(document["sets"], vignette, strict=False):
        one["look"] |= {"cast_a": 0.0, "vignette": amount}
    (tmp_path / "outcome.json").write_text(json.dumps(document), encoding="utf-8")
    _, text, _ = run("compare", f"{tmp_path}#1", f"{tmp_path}#2")
    look = text.partition("\nlook ")[2].partition("against")[0]
    assert "cast" in look.partition("\n")[2]  # 0 in both, and shown all the same
    assert ("vignette" in look) is shown


def test_compare_wants_two_sets(suggested):
    with pytest.raises(BadInput, match="at least two"):
        run("compare", suggested[0])


def test_why_explains_a_chosen_frame(suggested):
    out, document = suggested
    code, text, _ = run("why", out, chosen(document)[0], "--json")
    answer = json.loads(text)
    assert code == 0
    assert answer["in_set"]
    assert answer["points"] >= -1e-6
    code, text, _ = run("why", out, chosen(document)[0])
    assert "is in the set" in text


def test_why_prices_another_frame(suggested, scanned):
    out, document = suggested
    names = sorted(str(path.relative_to(scanned)) for path in scanned.glob("*/*.jpg"))
    other = next(name for name in names if name not in chosen(document))
    code, text, _ = run("why", out, other, "--json")
    answer = json.loads(text)
    assert code == 0
    assert other in answer["enter"]
    assert answer["points"] >= -1e-6


def test_why_refuses_a_frame_that_is_not_there(suggested):
    with pytest.raises(NoSuchFrame, match="did you mean"):
        run("why", suggested[0], "morning/000.jpg")


def test_why_says_where_a_moved_catalog_may_be_named(suggested, tmp_path):
    out, document = suggested
    moved = tmp_path / "moved"
    moved.mkdir()
    text = (out / "outcome.json").read_text("utf-8").replace(json.dumps(document["catalog"]), '"nowhere"')
    (moved / "outcome.json").write_text(text, encoding="utf-8")
    with pytest.raises(BadInput, match=r"nowhere.* is no catalog here; name it with --catalog"):
        run("why", moved, chosen(document)[0])
    code, _, _ = run("why", moved, chosen(document)[0], "--catalog", document["catalog"])
    assert code == 0


def test_check_holds_for_the_best_set(suggested, scanned, brief_file):
    files = [scanned / path for path in chosen(suggested[1])]
    code, text, _ = run("check", *files, "--brief", brief_file, "--json")
    graded = json.loads(text)
    assert code == 0
    assert graded["holds"]
    assert graded["set"]["score"] == pytest.approx(suggested[1]["sets"][0]["score"], abs=1e-6)


def test_check_names_what_is_broken_and_exits_with_one(scanned, brief_file):
    files = sorted(scanned.glob("*/*.jpg"))[:2]
    code, text, _ = run("check", *files, "--brief", brief_file)
    assert code == 1
    assert "2 frames given, the brief wants 3" in text


def test_check_refuses_what_is_no_file_and_what_lies_outside(scanned, brief_file, tmp_path):
    with pytest.raises(BadInput, match="not a file"):
        run("check", tmp_path / "no.jpg", "--brief", brief_file)
    stray = tmp_path / "stray.jpg"
    stray.write_bytes(next(scanned.glob("*/*.jpg")).read_bytes())
    with pytest.raises(BadInput, match="not in the catalog"):
        run("check", stray, "--catalog", scanned, "--brief", brief_file)


def test_check_measures_no_folder_that_nobody_named(scanned, brief_file, tmp_path):
    stray = tmp_path / "stray.jpg"
    stray.write_bytes(next(scanned.glob("*/*.jpg")).read_bytes())
    with pytest.raises(BadInput, match="no folder above these files was scanned yet"):
        run("check", stray, "--brief", brief_file)
    assert not (tmp_path / ".setsolver").exists()


@pytest.mark.skipif(sys.platform == "win32", reason="the pseudo-terminal of the test is POSIX's")
def test_check_asks_on_a_terminal_before_it_measures_a_folder_that_nobody_named(scanned, brief_file, tmp_path):
    import pty  # noqa: PLC0415 - there is none on Windows

    stray = tmp_path / "stray.jpg"
    stray.write_bytes(next(scanned.glob("*/*.jpg")).read_bytes())
    ours, theirs = pty.openpty()
    os.write(ours, b"n\n")
    command = [sys.executable, "-m", "setsolver", "check", str(stray), "--brief", str(brief_file)]
    done = subprocess.run(command, stdin=theirs, capture_output=True, text=True, check=False)
    os.close(ours)
    os.close(theirs)
    assert done.returncode == 2
    assert f"Measure {tmp_path.resolve()} and all photographs in it? [y/N]" in done.stderr
    assert "no folder above these files was scanned yet" in done.stderr
    assert not (tmp_path / ".setsolver").exists()
    assert home_of([stray], lambda folder: folder == tmp_path.resolve()) == tmp_path.resolve()


def test_check_takes_paths_in_the_catalog(suggested, scanned, brief_file):
    code, text, _ = run("check", *chosen(suggested[1]), "--catalog", scanned, "--brief", brief_file)
    assert code == 0
    assert "best swap: no single swap gains" in text
    assert all(f"{path}  " in text for path in chosen(suggested[1]))


def test_why_takes_a_path_on_the_disk(suggested, scanned):
    path = chosen(suggested[1])[0]
    _, text, _ = run("why", suggested[0], scanned / path)
    assert f"{path} is in the set" in text


def test_gaps_finds_nothing_missing_where_a_set_exists(scanned, brief_file):
    code, text, _ = run("gaps", scanned, "--brief", brief_file, "--json")
    assert code == 0
    assert json.loads(text)["possible"]


def test_gaps_says_what_to_shoot(scanned, tmp_path, brief_file):
    brief = tmp_path / "more.toml"
    text = brief_file.read_text("utf-8").replace("size = 3", "size = 10")
    brief.write_text(text, encoding="utf-8")
    code, text, _ = run("gaps", scanned, "--brief", brief)
    assert code == 1
    assert "any-three lacks" in text
    assert "shoot" in text

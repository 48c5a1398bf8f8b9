"""Paths that a brief names start from its own folder, wherever it is used, written and read again."""

import os
import sys
from pathlib import Path

import pytest
from PIL import Image

from setsolver.domain.brief import Brief
from setsolver.domain.plan import Plan
from setsolver.errors import BadBrief
from setsolver.usecases.board.kept import Kept
from setsolver.usecases.brief_file import brief_text_of, save_brief
from setsolver.usecases.briefs import load_brief, new_brief, parse_brief
from setsolver.usecases.finish_wall import wall_seen
from setsolver.usecases.reopened import brief_of
from setsolver.usecases.spread_kinds import kinds_for
from tests.cli.shoot import BRIEF
from tests.usecases.boards import make_folder, write_brief

MARK = '[wall.photograph]\nfile = "{file}"\ncorners = [[0, 0], [9, 0], [9, 9], [0, 9]]\nwidth = 90\n'
PRINTS = (
    '# a hall\nname = "b"\nsize = 3\ntaste = "mine.toml"  # as we like it\n[wall]\nwidth = 400\nheight = 250\n' + MARK
)
BOOK = 'name = "b"\n[album]\ntemplates = "spreads"\nspreads = 12\n'


def photograph(brief):
    return brief.wall.photograph.file


@pytest.fixture
def briefs(tmp_path, monkeypatch):
    """A folder of briefs under the working folder, with a taste beside them, and a folder elsewhere."""
    for folder in ("briefs", "elsewhere"):
        (tmp_path / folder).mkdir()
    (tmp_path / "briefs" / "mine.toml").write_text('name = "mine"\n[weights]\nappeal = 90\n', encoding="utf-8")
    (tmp_path / "mine.toml").write_text('name = "another"\n[weights]\nappeal = 1\n', encoding="utf-8")
    (tmp_path / "briefs" / "b.toml").write_text(PRINTS.format(file="hall.jpg"), encoding="utf-8")
    (tmp_path / "briefs" / "book.toml").write_text(BOOK, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path / "briefs"


@pytest.mark.parametrize("name", ["briefs/b.toml", "briefs/b", "{}/b.toml", "briefs/../briefs/b"])
def test_a_path_starts_from_the_folder_of_its_brief_however_that_is_named(briefs, tmp_path, monkeypatch, name):
    brief = load_brief(name.format(briefs))
    monkeypatch.chdir(tmp_path / "elsewhere")
    (briefs / "hall.jpg").touch()
    assert (briefs / "hall.jpg").samefile(photograph(brief))
    assert (briefs / "mine.toml").samefile(brief.taste)
    assert brief.weights.appeal == 90  # the taste of the working folder has the same name


def test_a_brief_written_elsewhere_names_the_same_files_when_it_is_read_from_anywhere(briefs, tmp_path, monkeypatch):
    brief, book = load_brief("briefs/b.toml"), load_brief("briefs/book.toml")
    save_brief(brief, tmp_path / "elsewhere" / "b.toml")
    save_brief(book, tmp_path / "elsewhere" / "book.toml")
    monkeypatch.chdir(tmp_path / "elsewhere")
    assert load_brief("b.toml") == brief
    assert load_brief("book.toml") == book
    assert photograph(brief) == str(briefs / "hall.jpg")
    assert book.album.templates == str(briefs / "spreads")


def test_a_brief_written_beside_its_photograph_can_be_moved_with_it(briefs, tmp_path):
    save_brief(load_brief("briefs/b.toml"), briefs / "near.toml")
    assert 'file = "hall.jpg"' in (briefs / "near.toml").read_text()
    moved = briefs.rename(tmp_path / "moved")
    assert photograph(load_brief(moved / "near.toml")) == str(moved / "hall.jpg")


def test_the_brief_of_a_document_names_the_same_files_wherever_that_is_opened(briefs, tmp_path, monkeypatch):
    class Opened:
        brief = load_brief("briefs/book.toml").model_dump(mode="json")

    monkeypatch.chdir(tmp_path / "elsewhere")
    assert brief_of(Opened).album.templates == str(briefs / "spreads")


def test_the_working_copy_of_a_board_names_the_same_files(tmp_path, monkeypatch):
    write_brief(tmp_path, BRIEF + "\n[wall]\nwidth = 400\nheight = 250\n" + MARK.format(file="hall.jpg"))
    make_folder(tmp_path)
    (tmp_path / "elsewhere").mkdir()
    monkeypatch.chdir(tmp_path)
    kept = Kept(Path("pottery"), "any-three.toml")
    kept.save(kept.load())
    monkeypatch.chdir(tmp_path / "elsewhere")
    again = Kept(tmp_path / "pottery", str(tmp_path / "any-three.toml"))
    assert photograph(again.load()) == photograph(load_brief(again.brief_file)) == str(tmp_path / "hall.jpg")
    assert not again.edited


def test_templates_are_found_where_an_album_is_changed(briefs, tmp_path, monkeypatch):
    (briefs / "spreads").mkdir()
    place = '[[place]]\nname = "lead"\narea = "spread"\nbox = [[0, 0.2, 1, 0.6]]\n'
    (briefs / "spreads" / "wide.toml").write_text(f'name = "wide"\nsays = "x"\npace = "quiet"\n{place}')
    book = load_brief("briefs/book.toml")
    monkeypatch.chdir(tmp_path / "elsewhere")
    assert "wide" in kinds_for(book.album)


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux gives files names of any bytes")
def test_a_folder_of_which_the_name_is_no_text_is_found(briefs, tmp_path, monkeypatch):
    odd = Path(os.fsdecode(os.fsencode(tmp_path) + b"/caf\xe9"))
    briefs.rename(odd)
    Image.new("RGB", (60, 40)).save(odd / "hall.png")
    (odd / "b.toml").write_text(PRINTS.format(file="hall.png"), encoding="utf-8")
    brief = load_brief(odd / "b.toml")
    assert Brief.model_validate_json(brief.model_dump_json()) == brief
    plan = Plan(kind="row", width_cm=9, height_cm=9, gap_cm=0, rows=(), says="", wall=brief.wall.in_cm())
    mark = brief.wall.photograph.model_copy(update={"height": 60.0})
    assert wall_seen(mark, plan).photograph.shape == (40, 60, 3)


def test_paths_of_a_brief_made_in_python_start_from_the_working_folder(briefs, tmp_path):
    given = load_brief("briefs/b.toml").model_dump()
    given["wall"]["photograph"]["file"] = "hall.jpg"
    save_brief(Brief.model_validate(given), tmp_path / "elsewhere" / "b.toml")
    assert photograph(load_brief("elsewhere/b.toml")) == str(tmp_path / "hall.jpg")


def test_a_whole_path_and_a_taste_that_comes_along_stay_as_they_are(tmp_path):
    text = PRINTS.format(file=tmp_path / "hall.jpg").replace("mine.toml", "story")
    brief = parse_brief(text, str(tmp_path / "deep" / "b.toml"))
    assert (photograph(brief), brief.taste) == (str(tmp_path / "hall.jpg"), "story")
    assert parse_brief(brief_text_of(brief)) == brief


def test_a_brief_in_a_very_deep_folder_can_name_its_templates(tmp_path):
    brief = parse_brief(BOOK, "/" + "a-folder/" * 60 + "b.toml")
    assert parse_brief(brief_text_of(brief)) == brief


def test_a_new_brief_like_one_of_another_folder_names_the_same_files(briefs, tmp_path):
    path = new_brief(tmp_path / "elsewhere" / "b", like="briefs/b.toml")
    assert load_brief(path) == load_brief("briefs/b.toml")
    assert path.read_text().startswith("# a hall\n")
    assert "# as we like it\n" in path.read_text()
    same = new_brief(briefs / "c", like="briefs/b.toml")
    assert 'file = "hall.jpg"' in same.read_text()
    book = new_brief(tmp_path / "elsewhere" / "book", like="briefs/book")
    assert load_brief(book).album == load_brief("briefs/book.toml").album


MORE = "corners = [[0, 0], [9, 0], [9, 9], [0, 9]], width = 90"


@pytest.mark.parametrize(
    "written",
    [
        "[wall]\nwidth = 400\nheight = 250\nphotograph.file = {}\nphotograph."
        + MORE.replace("]], ", "]]\nphotograph."),
        f"[wall]\nwidth = 400\nheight = 250\nphotograph = {{{{ file = {{}}, {MORE} }}}}",
        f'[wall]\nwidth = 400\nheight = 250\n"photograph" = {{{{ {MORE}, "file"={{}} }}}}  # file = "hall.jpg"',
        f"wall = {{{{ width = 400, photograph = {{{{ file = {{}}, {MORE} }}}}, height = 250 }}}}",
    ],
)
@pytest.mark.parametrize("quotes", ['"hall.jpg"', "'hall.jpg'", '"h\\u0061ll.jpg"'])
def test_a_new_brief_finds_a_path_however_it_is_written(briefs, tmp_path, written, quotes):
    head = 'name = "b"  # file = "hall.jpg" is told below\nsize = 3\n'
    text = head + written.format(quotes) + "\n"
    (briefs / "c.toml").write_text(text, encoding="utf-8")
    path = new_brief(tmp_path / "elsewhere" / "b", like="briefs/c.toml")
    assert load_brief(path) == load_brief("briefs/c.toml")
    assert path.read_text().startswith(head)


def test_a_path_over_several_lines_is_not_taken_elsewhere(briefs, tmp_path):
    text = PRINTS.format(file="hall.jpg").replace('"hall.jpg"', '"""\nhall.jpg"""')
    (briefs / "c.toml").write_text(text, encoding="utf-8")
    with pytest.raises(BadBrief, match=r"wall.photograph.file = \"hall.jpg\" cannot be changed to"):
        new_brief(tmp_path / "elsewhere" / "b", like="briefs/c.toml")
    assert not (tmp_path / "elsewhere" / "b.toml").exists()

"""Which files of a folder are frames, and what is left out."""

import errno
import os
from pathlib import Path

import pytest
from PIL import Image

from setsolver.catalog.listing import listed_at, listing
from setsolver.catalog.pairing import companion_of
from setsolver.errors import BadInput
from setsolver.output import sheet
from tests.catalog.folders import close_folder


def names(folder):
    return [listed.path for listed in listing(folder).frames]


def touch(folder, *paths):
    for path in paths:
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_bytes(b"x")


def test_one_frame_is_listed_as_among_all(tmp_path):
    touch(tmp_path, "a.jpg", "a.xmp", "b.jpg", "b.jpg.xmp", "b.xmp", "sub/kiln.NEF", "sub/kiln.jpg", "sub/kiln2.dng")
    touch(tmp_path, "no ending", "sub/odd\udcff.jpg", "sub/a\\x41.jpg", "ab.jpg", "A.JPG")
    every = listing(tmp_path).frames
    assert len(every) == 8
    for frame in every:
        assert listed_at(tmp_path, frame.path) == frame


@pytest.mark.parametrize("path", ["gone.jpg", "nowhere/a.jpg", "sub/kiln.NEF", "a.xmp", ".hidden.jpg"])
def test_what_is_listed_nowhere_is_not_found_alone(path, tmp_path):
    touch(tmp_path, "a.jpg", "a.xmp", "sub/kiln.NEF", "sub/kiln.jpg", ".hidden.jpg")
    assert listed_at(tmp_path, path) is None


def test_every_format_by_extension_in_order_of_path(tmp_path):
    touch(
        tmp_path, "b.JPG", "a.png", "c.tiff", "d.webp", "e.heic", "f.nef", "g.txt", "h.gif", "noextension", "sub/a.jpeg"
    )
    assert names(tmp_path) == ["a.png", "b.JPG", "c.tiff", "d.webp", "e.heic", "f.nef", "sub/a.jpeg"]


def test_hidden_files_and_folders_are_left_out(tmp_path):
    touch(tmp_path, ".hidden.jpg", ".setsolver/thumb.jpg", ".trash/a.jpg", "a.jpg")
    assert names(tmp_path) == ["a.jpg"]


def test_raw_and_picture_of_one_stem_are_one_frame(tmp_path):
    touch(tmp_path, "kiln.NEF", "kiln.jpg", "kiln2.dng", "other/kiln.NEF")
    frames = {listed.path: listed for listed in listing(tmp_path).frames}
    assert sorted(frames) == ["kiln.jpg", "kiln2.dng", "other/kiln.NEF"]
    assert frames["kiln.jpg"].companion == tmp_path / "kiln.NEF"
    assert frames["kiln2.dng"].companion is None


def test_two_pictures_of_one_stem_are_two_frames(tmp_path):
    touch(tmp_path, "jar.jpg", "jar.tif")
    assert names(tmp_path) == ["jar.jpg", "jar.tif"]


def test_sidecars_by_stem_and_by_full_name(tmp_path):
    touch(tmp_path, "a.jpg", "a.xmp", "b.jpg", "b.jpg.xmp", "b.xmp", "c.jpg")
    sidecars = {listed.path: listed.sidecar and listed.sidecar.name for listed in listing(tmp_path).frames}
    assert sidecars == {"a.jpg": "a.xmp", "b.jpg": "b.jpg.xmp", "c.jpg": None}


def test_a_changed_sidecar_changes_the_stamp_only_of_its_frame(tmp_path):
    touch(tmp_path, "a.jpg", "a.xmp", "b.jpg")
    before = {listed.path: listed.stamp for listed in listing(tmp_path).frames}
    (tmp_path / "a.xmp").write_bytes(b"longer")
    after = {listed.path: listed.stamp for listed in listing(tmp_path).frames}
    assert before["a.jpg"] != after["a.jpg"]
    assert before["b.jpg"] == after["b.jpg"] == ""


def test_symlink_loops_end(tmp_path):
    touch(tmp_path, "sub/a.jpg")
    (tmp_path / "sub" / "again").symlink_to(tmp_path, target_is_directory=True)
    (tmp_path / "twice").symlink_to(tmp_path / "sub", target_is_directory=True)
    assert len(names(tmp_path)) == 1


def test_a_link_to_nowhere_is_listed_so_that_its_reason_is_said(tmp_path):
    (tmp_path / "gone.jpg").symlink_to(tmp_path / "nowhere.jpg")
    touch(tmp_path, "a.jpg")
    assert names(tmp_path) == ["a.jpg", "gone.jpg"]


def test_odd_names_survive(tmp_path):
    odd = ["new\nline.jpg", "quote'\".jpg", "<script>.jpg", "ümlaut.jpg"]
    touch(tmp_path, *odd)
    (tmp_path / os.fsdecode(b"caf\xe9.jpg")).write_bytes(b"x")
    found = names(tmp_path)
    assert set(odd) < set(found)
    assert "caf\\xe9.jpg" in found


def test_a_folder_that_cannot_be_listed_is_said_and_the_rest_goes_on(tmp_path, monkeypatch):
    touch(tmp_path, "a.jpg", "closed/b.jpg")
    close_folder(monkeypatch, "closed")
    found = listing(tmp_path)
    assert [listed.path for listed in found.frames] == ["a.jpg"]
    assert [out.path for out in found.closed] == ["closed"]
    assert "Permission denied" in found.closed[0].why


@pytest.mark.parametrize("where", ["", "sub"])
def test_a_link_in_a_circle_is_refused_alone(tmp_path, where):
    touch(tmp_path, "a.jpg", "sub/b.jpg")
    (tmp_path / where / "loop.jpg").symlink_to("loop.jpg")
    found = listing(tmp_path)
    assert [listed.path for listed in found.frames] == ["a.jpg", "sub/b.jpg"]
    assert [out.path for out in found.closed] == [f"{where}/loop.jpg".lstrip("/")]
    assert "symbolic links" in found.closed[0].why


@pytest.mark.parametrize("failing", ["stat", "reading"])
def test_a_top_folder_that_fails_is_bad_input(tmp_path, monkeypatch, failing):
    """Simulated: the disk fails at the folder itself, or in the middle of its listing."""
    touch(tmp_path, "a.jpg", "b.jpg")

    class Failing:
        def __enter__(self):
            return self

        def __exit__(self, *_):
            return None

        def close(self):
            return None

        def __iter__(self):
            raise OSError(errno.EIO, "Input/output error")

    def stat(self, **_):
        raise OSError(errno.EIO, "Input/output error")

    if failing == "stat":
        monkeypatch.setattr(Path, "stat", stat)
    else:
        monkeypatch.setattr(os, "scandir", lambda _: Failing())
    with pytest.raises(BadInput, match="Input/output error"):
        listing(tmp_path)


def test_what_is_no_file_is_refused_and_nothing_waits_for_it(tmp_path):
    touch(tmp_path, "a.jpg", "k.jpg")
    for pipe in ("p.jpg", "k.nef"):
        os.mkfifo(tmp_path / pipe)
    (tmp_path / "z.jpg").symlink_to("/dev/zero")
    found = listing(tmp_path)
    assert [(listed.path, listed.companion) for listed in found.frames] == [("a.jpg", None), ("k.jpg", None)]
    assert {out.path: "named pipe" in out.why or "device" in out.why for out in found.closed} == {
        "p.jpg": True,
        "k.nef": True,
        "z.jpg": True,
    }
    assert companion_of(tmp_path / "k.jpg") is None


def test_pictures_of_other_formats_are_counted_and_other_files_passed_over(tmp_path):
    touch(tmp_path, "a.jpg", "b.gif", "sub/c.GIF", "d.avif", "e.txt", "f.pdf", "g", ".h.gif")
    (tmp_path / "folder.bmp").mkdir()
    assert listing(tmp_path).unread == (("avif", 1), ("gif", 2))


OUTCOME = '{\n "format": "setsolver/outcome",\n "version": 1}'


def test_a_folder_of_a_set_has_no_frames_and_hides_nothing_below_it(tmp_path):
    touch(tmp_path, "a.jpg", "set/proof.png", "set/proof.html", "set/sub/b.jpg")
    (tmp_path / "set" / "outcome.json").write_text(OUTCOME)
    assert names(tmp_path) == ["a.jpg", "set/sub/b.jpg"]
    assert listing(tmp_path).remarks == ()


@pytest.mark.parametrize("content", ["", "{}", "[]", '{"format": "another/outcome"}', '{"outcome": "setsolver"}'])
def test_any_other_file_of_that_name_hides_nothing(tmp_path, content):
    touch(tmp_path, "a.jpg", "day/b.jpg", "day/proof.png")
    for folder in ("", "day"):
        (tmp_path / folder / "outcome.json").write_text(content)
    assert names(tmp_path) == ["a.jpg", "day/b.jpg", "day/proof.png"]
    assert listing(tmp_path).remarks == ()


def test_photographs_beside_an_outcome_are_frames_and_that_is_said(tmp_path):
    touch(tmp_path, "a.jpg", "day/b.jpg", "day/proof.png")
    for folder in ("", "day"):
        (tmp_path / folder / "outcome.json").write_text(OUTCOME)
    assert names(tmp_path) == ["a.jpg", "day/b.jpg", "day/proof.png"]
    assert [words.partition(" holds ")[0] for words in listing(tmp_path).remarks] == ["the folder", "'day'"]


def test_the_picture_of_a_set_is_no_photograph_wherever_it_lies(tmp_path):
    touch(tmp_path, "b.jpg")
    Image.new("RGB", (64, 64)).save(tmp_path / "proof.png", pnginfo=sheet._signed())
    (tmp_path / "outcome.json").write_text(OUTCOME)
    assert names(tmp_path) == ["b.jpg"]


def test_an_outcome_that_is_a_pipe_is_not_waited_for(tmp_path):
    touch(tmp_path, "a.jpg")
    os.mkfifo(tmp_path / "outcome.json")
    assert names(tmp_path) == ["a.jpg"]


@pytest.mark.parametrize(("name", "reason"), [("missing", "No such file"), ("file.txt", "Not a directory")])
def test_no_folder_is_bad_input(tmp_path, name, reason):
    (tmp_path / "file.txt").write_bytes(b"")
    with pytest.raises(BadInput, match=reason):
        listing(tmp_path / name)

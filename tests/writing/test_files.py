"""A file is whole or absent, and nothing that somebody else wrote is ever written over."""

import os
import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.errors import BadInput
from setsolver.writing import aside, claim, files, write_folder, write_new, write_own

OURS = b"ours "


def ours(path):
    return path.read_bytes().startswith(OURS)


def full(*_):
    raise OSError(28, "No space left on device")


def test_a_new_file_is_written_with_the_rights_that_the_user_gives_to_files(tmp_path):
    before = os.umask(0o027)
    try:
        write_new(tmp_path / "a", b"x")
    finally:
        os.umask(before)
    assert (tmp_path / "a").read_bytes() == b"x"
    assert (tmp_path / "a").stat().st_mode & 0o777 == 0o640
    assert [p.name for p in tmp_path.iterdir()] == ["a"]


@settings(max_examples=40, deadline=None)
@given(before=st.binary(max_size=40), after=st.binary(max_size=40))
def test_a_file_is_replaced_only_where_it_is_ours(tmp_path_factory, before, after):
    path = tmp_path_factory.mktemp("w") / "photograph.jpg"
    path.write_bytes(before)
    if before.startswith(OURS):
        write_own(path, after, ours)
        assert path.read_bytes() == after
        return
    for write in (lambda: write_own(path, after, ours), lambda: write_new(path, after)):
        with pytest.raises(BadInput, match="exists already and is not overwritten"):
            write()
    assert path.read_bytes() == before
    assert [p.name for p in path.parent.iterdir()] == [path.name]


def test_a_link_is_somebody_elses_wherever_it_leads(tmp_path):
    (tmp_path / "real").write_bytes(OURS)
    (tmp_path / "link").symlink_to("real")
    (tmp_path / "nowhere").symlink_to("not-there")
    for name in ("link", "nowhere"):
        with pytest.raises(BadInput, match="not overwritten"):
            write_own(tmp_path / name, b"x", ours)
    assert (tmp_path / "real").read_bytes() == OURS
    assert not (tmp_path / "not-there").exists()


def test_folders_and_devices_are_not_written_over(tmp_path):
    (tmp_path / "d").mkdir()
    for path in (tmp_path / "d", *([] if os.name == "nt" else [Path("/dev/null")])):
        with pytest.raises(BadInput, match="not overwritten"):
            write_own(path, b"x", ours)


def test_a_name_that_is_taken_meanwhile_is_not_written_over(tmp_path, monkeypatch):
    path = tmp_path / "a"
    fill = files.fill

    def and_somebody_else(part, content):
        fill(part, content)
        path.write_bytes(b"theirs")

    monkeypatch.setattr(files, "fill", and_somebody_else)
    with pytest.raises(BadInput, match="not overwritten"):
        write_own(path, b"x", ours)
    assert path.read_bytes() == b"theirs"
    assert list(tmp_path.iterdir()) == [path]


def test_a_disk_without_hard_links_still_takes_no_name_that_is_taken(tmp_path, monkeypatch):
    def none(*_):
        raise OSError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", none)
    write_new(tmp_path / "a", b"x")
    assert (tmp_path / "a").read_bytes() == b"x"
    with pytest.raises(BadInput, match="not overwritten"):
        write_new(tmp_path / "a", b"y")
    assert [p.name for p in tmp_path.iterdir()] == ["a"]


def test_what_a_library_fills_beside_a_file_is_held_gets_its_name_whole_or_is_gone(tmp_path):
    with aside(tmp_path / "a") as part:
        assert part.read_bytes() == b""
        part.write_bytes(b"whole")
        os.utime(part, (time.time() - 60,) * 2)
        write_new(tmp_path / "b", b"x")  # which sweeps what nobody holds
        claim(part, tmp_path / "a")
    assert (tmp_path / "a").read_bytes() == b"whole"
    with pytest.raises(KeyError), aside(tmp_path / "c") as part:
        raise KeyError
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a", "b"]
    with pytest.raises(BadInput, match="cannot write"), aside(tmp_path / "gone" / "a"):
        pass


def test_a_free_name_is_taken_in_one_step_not_looked_at_and_then_taken(tmp_path, monkeypatch):
    """Between the two, somebody else could take it (CWE-367); POSIX link fails by itself where the name is taken."""
    monkeypatch.setattr(files, "refuse_taken", lambda *_: pytest.fail("looked at first"))
    with aside(tmp_path / "a") as part:
        part.write_bytes(b"whole")
        claim(part, tmp_path / "a")
    assert (tmp_path / "a").read_bytes() == b"whole"


def test_what_a_library_filled_takes_no_name_but_that_of_a_file_of_ours(tmp_path):
    for name, content, whose, left in [
        ("theirs", b"theirs", ours, b"theirs"),
        ("ours", OURS, None, OURS),
        ("made again", OURS, ours, b"new"),
    ]:
        (tmp_path / name).write_bytes(content)
        with aside(tmp_path / name) as part:
            part.write_bytes(b"new")
            if left == b"new":
                claim(part, tmp_path / name, whose)
            else:
                with pytest.raises(BadInput, match="exists already and is not overwritten"):
                    claim(part, tmp_path / name, whose)
        assert (tmp_path / name).read_bytes() == left
    assert len(list(tmp_path.iterdir())) == 3


def test_what_cannot_be_looked_into_is_not_ours(tmp_path):
    def unreadable(_):
        raise PermissionError(13, "Permission denied")

    (tmp_path / "a").write_bytes(OURS)
    with pytest.raises(BadInput, match="not overwritten"):
        write_own(tmp_path / "a", b"x", unreadable)
    assert (tmp_path / "a").read_bytes() == OURS


def test_on_such_a_disk_a_name_that_is_taken_meanwhile_is_not_written_over(tmp_path, monkeypatch):
    def taken(_, path):
        path.write_bytes(b"theirs")
        raise OSError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", taken)
    with pytest.raises(BadInput, match="not overwritten"):
        write_new(tmp_path / "a", b"x")
    assert (tmp_path / "a").read_bytes() == b"theirs"
    assert [p.name for p in tmp_path.iterdir()] == ["a"]


@pytest.mark.parametrize("write", [lambda p: write_new(p, b"x"), lambda p: write_folder(p, {"a": b"x", "b": b"y"})])
def test_a_full_disk_is_said_and_leaves_nothing(tmp_path, monkeypatch, write):
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(BadInput, match=r"cannot write .*No space left on device; name a place"):
        write(tmp_path / "new")
    assert list(tmp_path.iterdir()) == []

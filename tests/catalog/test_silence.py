"""What decoders write to stderr is lost within the block, and nothing is lost after it, however blocks nest."""

import os
from pathlib import Path

import pytest

from setsolver.catalog.silence import silent


def said(text):
    os.write(2, text)


def open_files():
    there = Path("/proc/self/fd")
    return {one.name for one in there.iterdir()} if there.is_dir() else set()


def test_only_what_is_said_within_is_lost(capfd):
    before = open_files()
    said(b"before ")
    with silent():
        said(b"within ")
        with silent():
            said(b"deeper ")
        said(b"between ")
    said(b"after")
    assert capfd.readouterr().err == "before after"
    assert open_files() == before


def test_an_error_within_gives_the_stream_back(capfd):
    with pytest.raises(ValueError, match="clay"), silent():
        raise ValueError("clay")
    said(b"heard")
    assert capfd.readouterr().err == "heard"


def test_blocks_that_end_crosswise_keep_silence_until_the_last_is_left(capfd):
    """As two threads do that decode at the same time."""
    one, two = silent(), silent()
    one.__enter__()
    two.__enter__()
    one.__exit__(None, None, None)
    said(b"still within ")
    two.__exit__(None, None, None)
    said(b"heard")
    assert capfd.readouterr().err == "heard"

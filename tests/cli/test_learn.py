"""The verb ``learn``: choices in, a taste file and words out."""

import json

from click.testing import CliRunner

from setsolver.cli.main import cli
from setsolver.usecases import learn as module
from tests.rules.builders import make_frame, make_snapshot


def written_choice(tmp_path, monkeypatch):
    """Return a file with one choice: three frames with stars over three without."""
    frames = [make_frame(i, "medium", rating=5 if i < 3 else None, place=(1.0, 0.0)) for i in range(6)]
    monkeypatch.setattr(module, "scanned", lambda _: make_snapshot(*frames))
    (tmp_path / "b.toml").write_text('name = "b"\nsize = 3\nprint_cm = 20\n', encoding="utf-8")
    names = [frame.path for frame in frames]
    choice = {
        "catalog": ".",
        "made": "2026-05-02",
        "brief": str(tmp_path / "b.toml"),
        "chosen": names[:3],
        "over": [names[3:]],
    }
    (tmp_path / "c.jsonl").write_text(json.dumps(choice), encoding="utf-8")
    return tmp_path / "c.jsonl"


def test_without_a_file_to_write_it_only_says_what_would_move(tmp_path, monkeypatch):
    arguments = ["learn", str(written_choice(tmp_path, monkeypatch)), "--workers", "1"]
    before = sorted(tmp_path.iterdir())
    done = CliRunner().invoke(cli, [*arguments, "--json"], standalone_mode=False)
    assert done.exception is None, done.output
    document = json.loads(done.stdout)
    assert document["taste"]["evidence"]["choices"] == 1
    assert "rating" in {one["weight"] for one in document["moved"]}
    assert sorted(tmp_path.iterdir()) == before


def test_a_taste_is_written_and_what_moved_is_said(tmp_path, monkeypatch):
    arguments = [
        "learn",
        str(written_choice(tmp_path, monkeypatch)),
        "--out",
        str(tmp_path / "mine.toml"),
        "--workers",
        "1",
    ]
    done = CliRunner().invoke(cli, arguments, standalone_mode=False)
    assert done.exception is None, done.output
    assert "1 choices in 1 shoots." in done.output
    assert "rating" in done.output
    assert "Few choices" in done.output
    assert 'name = "mine"' in (tmp_path / "mine.toml").read_text(encoding="utf-8")

"""The README's pictures: each can be made again, and what can be made is shown."""

import re

import pytest

from demo_catalog.make.__main__ import main
from demo_catalog.make.pictures import MADE, PARTS
from tests.demo_catalog.conftest import ROOT


def test_every_picture_that_the_readme_shows_has_its_script_and_lies_there():
    text = (ROOT.parent / "README.md").read_text(encoding="utf-8")
    shown = set(re.findall(r"demo_catalog/\.pictures/([\w.-]+)", text))
    assert shown == MADE
    assert {file.name for file in (ROOT / ".pictures").iterdir()} == MADE


def test_help_names_every_part(capsys, monkeypatch):
    monkeypatch.setattr("sys.argv", ["make", "pictures", "--help"])
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code == 0
    told = " ".join(capsys.readouterr().out.split())
    assert all(part in told for part in PARTS)

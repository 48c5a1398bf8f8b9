"""A scanned catalog and an outcome that commands share; tests copy what they change."""

import json
import shutil

import pytest
from click.testing import CliRunner

from setsolver.cli.main import cli
from tests.cli.shoot import BRIEF, write_shoot


def run(*arguments):
    """Run a command; return its exit code, stdout and stderr."""
    result = CliRunner().invoke(cli, [str(part) for part in arguments], standalone_mode=False)
    if result.exception is not None:
        raise result.exception
    return result.return_value, result.stdout, result.stderr


def say_photographs(folder):
    """Say that all pictures of a folder are photographs: drawn as they are, they are told for graphics."""
    said = [part for file in sorted(folder.rglob("*.jpg")) for part in ("--set", file, "kind=photograph")]
    code, _, _ = run("frames", folder, *said)
    assert code == 0


@pytest.fixture(scope="session")
def scanned(tmp_path_factory):
    """Return the folder of a scanned shoot; not to be changed."""
    folder = write_shoot(tmp_path_factory.mktemp("catalog") / "pottery")
    code, _, _ = run("scan", folder)
    assert code == 0
    say_photographs(folder)
    return folder


@pytest.fixture(scope="session")
def brief_file(tmp_path_factory):
    """Return a brief that the drawn shoot can meet."""
    file = tmp_path_factory.mktemp("briefs") / "any-three.toml"
    file.write_text(BRIEF, encoding="utf-8")
    return file


@pytest.fixture(scope="session")
def suggested(scanned, brief_file, tmp_path_factory):
    """Return the folder that suggest wrote and the document that it printed; not to be changed."""
    out = tmp_path_factory.mktemp("sets") / "out"
    code, text, _ = run("suggest", scanned, "--brief", brief_file, "--out", out, "--no-open", "--json", "-k", 2)
    assert code == 0
    return out, json.loads(text)


@pytest.fixture
def copy(scanned, tmp_path):
    """Return a copy of the scanned shoot that a test may change."""
    return shutil.copytree(scanned, tmp_path / "pottery")


@pytest.fixture
def told(capsys):
    """Return what gives the lines that something prints."""

    def of(echo, *given):
        echo(*given)
        return capsys.readouterr().out.rstrip("\n").split("\n")

    return of

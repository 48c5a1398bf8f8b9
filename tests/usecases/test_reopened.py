"""Documents opened again: an outcome and an album are read, refused and followed to their catalog in the same way."""

import os

import pytest

from setsolver.catalog.paths import to_text
from setsolver.errors import BadInput
from setsolver.usecases.album_change import make_album
from setsolver.usecases.album_files import load_album
from setsolver.usecases.effort import Effort
from setsolver.usecases.reopened import brief_of, catalog_of
from setsolver.usecases.sets import load_outcome
from setsolver.usecases.suggest import suggest
from tests.rules.builders import make_brief, make_shoot
from tests.usecases.albums import brief, shoot


@pytest.fixture(scope="module")
def made():
    """Return by its name a document of each kind, with the brief that it was made for."""
    asked = {"outcome": make_brief(), "album": brief(spreads=(2, 3))}
    outcome = suggest(make_shoot(12), asked["outcome"], alternates=0)
    album = make_album(shoot(12, 1), asked["album"], Effort(time_limit=5.0))
    return {"outcome": (outcome, asked["outcome"]), "album": (album, asked["album"])}


LOAD = {"outcome": load_outcome, "album": load_album}
VERB = {"outcome": "suggest", "album": "album"}


@pytest.mark.parametrize("kind", LOAD)
def test_what_was_written_is_read_from_its_folder_and_its_file(made, kind, tmp_path):
    document, asked = made[kind]
    file = tmp_path / f"{kind}.json"
    file.write_text(document.model_dump_json(), encoding="utf-8")
    assert LOAD[kind](tmp_path) == LOAD[kind](file) == document
    assert brief_of(document) == asked


@pytest.mark.parametrize("kind", LOAD)
def test_a_folder_without_one_says_what_to_name(kind, tmp_path):
    with pytest.raises(BadInput, match=f"no {kind} here; name a folder made by `setsolver {VERB[kind]}`"):
        LOAD[kind](tmp_path)


@pytest.mark.parametrize("kind", LOAD)
@pytest.mark.parametrize("content", ["", "{}", "[1]", '{"format": "setsolver/other", "version": 1}'])
def test_a_document_of_another_kind_is_refused(kind, content, tmp_path):
    (tmp_path / f"{kind}.json").write_text(content, encoding="utf-8")
    with pytest.raises(BadInput, match=f"not an {kind} that this version reads .*make it again"):
        LOAD[kind](tmp_path)


@pytest.mark.parametrize("kind", LOAD)
def test_a_brief_that_is_none_is_told(made, kind):
    document, _ = made[kind]
    with pytest.raises(BadInput, match=rf"brief in this {kind} is none that this version reads \(size"):
        brief_of(document.model_copy(update={"brief": document.brief | {"size": "three"}}))


@pytest.mark.parametrize("kind", LOAD)
def test_a_folder_that_only_a_document_names_is_not_written_to(made, kind, tmp_path):
    document, _ = made[kind]
    (tmp_path / "hers").mkdir()
    with pytest.raises(BadInput, match=f"which the {kind} names, is no catalog here; name it with --catalog"):
        catalog_of(document.model_copy(update={"catalog": str(tmp_path / "hers")}))
    assert list((tmp_path / "hers").iterdir()) == []
    odd = tmp_path / os.fsdecode(b"caf\xe9\xff")
    (odd / ".setsolver").mkdir(parents=True)
    (odd / ".setsolver" / "index.db").touch()
    assert catalog_of(document.model_copy(update={"catalog": to_text(str(odd))})) == odd


@pytest.mark.parametrize("kind", LOAD)
def test_a_term_that_came_after_a_document_weighs_nothing_in_it(made, kind):
    """As in an outcome of before the term ``doing``: its score has no line of it."""
    document, asked = made[kind]
    assert brief_of(document).weights == asked.weights
    weights = {name: points for name, points in document.brief["weights"].items() if name != "doing"}
    before = document.model_copy(update={"brief": {**document.brief, "weights": weights}})
    assert brief_of(before).weights == asked.weights.model_copy(update={"doing": 0.0})

"""A frame that is hardly what its place asks for is said, with a way out; a sure one, a said one, a match are not."""

from types import SimpleNamespace

from setsolver.domain.measures import ScaleOdds
from setsolver.rules import assemble
from setsolver.usecases.suggest import suggest
from setsolver.usecases.unsure import unsure_roles
from tests.rules.builders import make_brief, make_frame, make_snapshot

ROLES = {"wide": [1, 1], "medium": [1, 1], "close": [1, 1]}
HARDLY = ScaleOdds(0.0, 0.79, 0.21)
LESS = ScaleOdds(0.0, 0.88, 0.12)


def notes_of(*frames, roles=ROLES):
    outcome = suggest(make_snapshot(*frames), make_brief(roles=roles), alternates=0)
    assert outcome.best is not None
    return [note for note in outcome.notes if "%" in note]


def test_sure_frames_need_no_note():
    assert not notes_of(make_frame(0, "wide"), make_frame(1, "medium"), make_frame(2, "close"))


def test_no_sure_frame_is_said_with_its_odds_and_how_to_confirm_it():
    (note,) = notes_of(make_frame(0, "wide"), make_frame(1, "medium"), make_frame(2, HARDLY, path="yard/0002.jpg"))
    assert note.startswith("no sure close frame: yard/0002.jpg plays it at 21 %")
    assert "--set yard/0002.jpg scale=close" in note


def said_of(*frames, taken):
    """Return what is said of a set of three in which one frame, by its path, plays close."""
    assembly = assemble(make_snapshot(*frames), make_brief(roles=ROLES))
    paths = [rendition.frame.path for rendition in assembly.renditions]
    rows = [paths.index(path) for path in ("frame-0000.jpg", "frame-0001.jpg", taken)]
    return unsure_roles(assembly, SimpleNamespace(chosen=rows, roles=[0, 1, 2]))


def test_a_surer_frame_that_was_not_taken_is_named():
    frames = (make_frame(0, "wide"), make_frame(1, "medium"), make_frame(2, HARDLY, path="liked.jpg"))
    (note,) = said_of(*frames, make_frame(3, "close", path="sure.jpg"), taken="liked.jpg")
    assert note.startswith("liked.jpg plays close at 21 % only; the surest close frame is sure.jpg at ")


def test_the_nearest_of_several_unsure_frames_is_named():
    frames = (make_frame(0, "wide"), make_frame(1, "medium"), make_frame(2, LESS, path="a.jpg"))
    (note,) = said_of(*frames, make_frame(3, HARDLY, path="b.jpg"), taken="a.jpg")
    assert note.startswith("no sure close frame: a.jpg plays it at 12 %; the nearest is b.jpg at 21 %")


def test_what_the_user_said_and_what_a_match_lets_in_is_no_guess():
    said = make_frame(2, HARDLY, said="close")
    assert not notes_of(make_frame(0, "wide"), make_frame(1, "medium"), said)
    kiln = make_frame(2, HARDLY, keywords=("kiln",))
    roles = {"wide": [1, 1], "medium": [1, 1], "kiln": {"count": [1, 1], "match": "keyword:kiln"}}
    assert not notes_of(make_frame(0, "wide"), make_frame(1, "medium"), kiln, roles=roles)

"""Albums of made-up events: documents that keep the rules, change as asked, and say why there is none."""

import json
from dataclasses import replace
from io import BytesIO

import jsonschema
import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from setsolver.domain.book_rules import broken_book
from setsolver.errors import BadBrief, BadInput, NoSet
from setsolver.rules import assemble
from setsolver.usecases import album_change
from setsolver.usecases.album import AlbumSession
from setsolver.usecases.album_book import make_event
from setsolver.usecases.album_change import Change, change_album, make_album
from setsolver.usecases.album_columns import columns_in
from setsolver.usecases.briefs import brief_names, load_brief, parse_brief
from setsolver.usecases.effort import Effort
from setsolver.usecases.schemas import FOLDER
from tests.usecases.albums import brief, shoot

EFFORT = Effort(time_limit=None)


@pytest.fixture(scope="module")
def session():
    session = AlbumSession(shoot(), brief(opening={"role": "wide"}, captions="keywords", chapters=3), EFFORT)
    session.solve()
    return session


@pytest.fixture(scope="module")
def album(session):
    return session.document()


def frames_of(album):
    return [frame.path for spread in album.spreads for frame in spread.frames]


def test_a_book_keeps_every_rule_and_its_ledgers_add_up(session, album):
    assert broken_book(session.event.book, session.found.spreads) == []
    assert album.status in ("proven", "open")
    assert album.bound >= album.score - 1e-6
    assert sum(line.points for line in album.ledger) == pytest.approx(album.score)
    for spread in album.spreads:
        assert sum(line.points for line in spread.ledger) == pytest.approx(spread.score)
    assert len(set(frames_of(album))) == len(frames_of(album))


def test_chapters_are_told_in_order_and_named_by_their_folder(album):
    told = [spread.chapter for spread in album.spreads]
    assert told == sorted(told)
    assert [chapter.title for chapter in album.chapters] == ["Part 0", "Part 1", "Part 2"]
    assert set(told) == {1, 2, 3}


def test_pictures_have_the_shape_of_their_place_and_pixels_for_it(album):
    for frame in (frame for spread in album.spreads for frame in spread.frames):
        shape = frame.place.width_cm / frame.place.height_cm
        assert frame.crop[2] * frame.width / (frame.crop[3] * frame.height) == pytest.approx(shape, rel=2e-3)
        assert frame.ppi >= 99.5


def test_captions_come_from_keywords_without_those_that_steer(album):
    captions = {frame.caption for spread in album.spreads for frame in spread.frames}
    assert captions <= {"", "pottery"}
    assert "pottery" in captions


def test_the_document_keeps_to_its_schema_and_reads_back(album):
    document = json.loads(album.model_dump_json())
    jsonschema.validate(document, json.loads((FOLDER / "album.schema.json").read_text()))
    assert type(album).model_validate_json(album.model_dump_json()) == album


def test_other_spreads_are_worth_what_they_say(album):
    offered = [other for spread in album.spreads for other in spread.others]
    assert offered
    assert all(other.points <= (album.gap or 0) + 1e-6 for other in offered)


def test_a_locked_spread_stays_while_a_frame_is_barred_elsewhere(session, album):
    gone = album.spreads[0].frames[0].path
    after = change_album(album, session.snapshot, Change(lock=(3,), bar=(gone,)), EFFORT)
    assert gone not in frames_of(after)
    (kept,) = [spread for spread in after.spreads if spread.locked]
    assert {frame.path for frame in kept.frames} == {frame.path for frame in album.spreads[2].frames}
    assert "points before" in after.changes[0]
    (out,) = [line.removeprefix("out: ").split(", ") for line in after.changes if line.startswith("out: ")]
    assert set(out) == set(frames_of(album)) - set(frames_of(after))
    # every book that keeps all other spreads keeps that one: what may change more is no worse
    others = change_album(album, session.snapshot, Change(lock=(2, 3, 4, 5, 6), bar=(gone,)), EFFORT)
    assert any(gone in line.split(", ") for line in (one.removeprefix("out: ") for one in others.changes))
    assert gone not in frames_of(others)
    assert after.score >= others.score - 1e-6


def test_what_was_proven_is_kept_for_changes_of_the_same_pictures(session, album, tmp_path):
    kept = session.columns()
    (tmp_path / "columns.npz").write_bytes(kept)
    book = session.event.book
    assert set(columns_in(tmp_path, book)) == set(session.found.pool)
    gone = album.spreads[0].frames[0].path
    asked = Change(lock=(3,), bar=(gone,))
    cold = change_album(album, session.snapshot, asked, EFFORT)
    warm = change_album(album, session.snapshot, asked, EFFORT, kept=tmp_path)
    # both end by work before all is proven: neither passes the other's bound; what was known costs little (1 % here)
    assert warm.score <= cold.bound + 1e-6
    assert cold.score <= warm.bound + 1e-6
    assert warm.score >= 0.985 * cold.score
    for changed in (Change(bar=(gone,)), Change(pin=(gone,)), Change(spreads=(4, 9))):
        again = make_event(session.snapshot, album_change._asked(session.brief, changed)).book
        assert len(columns_in(tmp_path, again)) > len(session.found.pool) / 4
    other = make_event(session.snapshot, brief(opening={"role": "wide"}, chapters=3, gap_mm=9)).book
    assert columns_in(tmp_path, other) == ()


def test_spreads_that_are_exchanged_leave_what_was_proven_for_the_next_change(session, album, tmp_path):
    (tmp_path / "columns.npz").write_bytes(session.columns())
    kept = []
    change_album(album, session.snapshot, Change(swap=(1, 3)), EFFORT, kept=tmp_path, keep=kept.append)
    (tmp_path / "columns.npz").write_bytes(kept[-1])
    assert set(columns_in(tmp_path, session.event.book)) == set(session.found.pool)


@pytest.mark.parametrize("damage", ["none", "empty", "cut", "text", "numbers", "twice", "one array", "words", "flat"])
def test_a_damaged_file_of_columns_is_none(session, tmp_path, damage):
    file = tmp_path / "columns.npz"
    whole = session.columns()
    with np.load(BytesIO(whole)) as arrays:
        kept = dict(arrays)
    others = {
        "numbers": {"rows": kept["rows"] + 100_000, "kind": kept["kind"] - 7},
        "twice": {"rows": np.where(kept["rows"] >= 0, kept["rows"][:, :1], -1)},
        "words": {"rows": np.full(kept["rows"].shape, "one")},
        "flat": {"kind": np.array(len(kept["kind"]))},
    }
    if damage == "one array":
        with file.open("wb") as stream:
            np.save(stream, kept["rows"])
    elif damage in others:
        np.savez(file, **{**kept, **others[damage]})
    elif damage != "none":
        file.write_bytes({"empty": b"", "cut": whole[: len(whole) // 2], "text": b"no archive"}[damage])
    alone = {spread for spread in session.found.pool if len(spread.rows) == 1}
    assert set(columns_in(tmp_path, session.event.book)) == (alone if damage == "twice" else set())


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_a_file_of_columns_that_a_disk_spoilt_never_ends_a_change(session, tmp_path, data):
    """Any byte may be another: the columns are those that were kept, or none."""
    whole = bytearray(session.columns())
    whole[data.draw(st.integers(0, len(whole) - 1))] = data.draw(st.integers(0, 255))
    (tmp_path / "columns.npz").write_bytes(whole)
    assert set(columns_in(tmp_path, session.event.book)) <= set(session.found.pool)


def test_columns_are_not_those_of_a_book_in_which_other_frames_may_not_meet(session, tmp_path):
    """A clock that is set right, or a word on repeats, changes moments and twins, and no points."""
    (tmp_path / "columns.npz").write_bytes(session.columns())
    book = session.event.book
    a, b = next(spread for spread in session.found.pool if len(spread.rows) > 1).frames[:2]
    apart = replace(book, problem=book.problem.replaced(conflict=np.array([[a, b]])))
    one = replace(book, group=np.zeros_like(book.group[:1]), group_cap=np.array([1]))
    assert columns_in(tmp_path, book)
    for other in (apart, one):
        assert columns_in(tmp_path, other) == ()


def test_a_pinned_frame_comes_in(session, album):
    wish = next(frame.path for frame in session.snapshot.frames if frame.path not in frames_of(album))
    after = change_album(album, session.snapshot, Change(pin=(wish,)), EFFORT)
    assert wish in frames_of(after)
    assert after.score <= album.bound + 1e-6


def test_a_shorter_book_is_the_same_document_with_fewer_spreads(session, album):
    after = change_album(album, session.snapshot, Change(spreads=(3, 3)), EFFORT)
    assert len(after.spreads) == 3
    assert after.brief["album"]["spreads"] == [3, 3]


def test_two_spreads_are_exchanged_and_what_that_gives_up_is_said(session, album):
    after = change_album(album, session.snapshot, Change(swap=(1, 3)), EFFORT)
    assert [f.path for f in after.spreads[0].frames] == [f.path for f in album.spreads[2].frames]
    assert "gives up the order of time" in after.changes[0]
    assert sum(line.points for line in after.ledger) == pytest.approx(after.score)


def test_a_spread_that_is_not_there_cannot_be_locked(session, album):
    with pytest.raises(BadInput, match="there is no spread 40; the album has"):
        change_album(album, session.snapshot, Change(lock=(40,)), EFFORT)


# Bad input: each says what is wrong and the way out.


def test_fewer_frames_than_spreads():
    album = make_album(shoot(3, 1), brief(), EFFORT)
    assert (album.status, album.spreads) == ("none", ())
    assert "3 frames for at least 4 spreads; ask for 3 spreads or fewer" in album.conflict[0].says


def test_a_first_chapter_without_a_wide_frame():
    snapshot = shoot()
    close = tuple(replace(frame, said="close") if frame.chapter == 0 else frame for frame in snapshot.frames)
    album = make_album(replace(snapshot, frames=close), brief(opening={"role": "wide"}, chapters=3), EFFORT)
    assert album.status == "none"
    (clash,) = album.conflict
    assert "the opening shows a wide frame, and the first chapter has none that fits" in clash.says
    assert "take role, match or kinds out of opening" in clash.way_out


def test_as_many_pictures_as_the_density_asks_for_at_least_are_enough():
    """1.12 pictures on each of 25 spreads are 28; multiplied as numbers of 64 bits they are more."""
    asked = brief(density=(1.12, 3), spreads=(25, 25), chapters=1)
    assert make_event(shoot(28, 1), asked).book.density == (1.12, 3)
    with pytest.raises(NoSet, match=r"27 frames of 27 can be used, and 25 spreads of 1\.12 pictures or more need 28"):
        make_event(shoot(27, 1), asked)


def test_too_few_pixels_for_any_page():
    with pytest.raises(NoSet, match="too few pixels"):
        make_event(shoot(size=(300, 200)), brief())


def test_an_event_without_times():
    with pytest.raises(NoSet, match=r'30 frames of 30 have no time.*write order = "name" under'):
        make_event(shoot(timed=False), brief())
    assert make_event(shoot(timed=False), brief(order="name")).book.chapters >= 1


def test_a_brief_for_prints():
    with pytest.raises(BadBrief, match=r"wall-three is a brief for prints: it has no \[album\]"):
        make_event(shoot(), load_brief("wall-three"))


def test_a_brief_of_an_album_makes_no_set():
    with pytest.raises(BadBrief, match="make it with `setsolver album"):
        assemble(shoot(), brief())


def test_a_page_smaller_than_its_margins_is_told_with_its_line():
    with pytest.raises(BadBrief, match=r"line 2: album = .*leaves 0\.0 by 4\.0 cm"):
        parse_brief('name = "x"\n[album]\npage_cm = [6, 10]\nsafe_mm = 30\ngutter_mm = 40\n')
    with pytest.raises(BadBrief, match=r"line 2: album = .{60}\.\.\.\}: a page of 6 by 10 cm leaves"):
        parse_brief('name = "x"\n[album]\npage_cm = [6, 10]\nsafe_mm = 30\ngutter_mm = 40\nspreads = 12\npace = 9\n')


def test_roles_of_prints_have_no_place_in_an_album():
    with pytest.raises(BadBrief, match="take one of them out"):
        parse_brief('name = "x"\n[album]\nspreads = 5\n[roles]\nwide = [1, 2]\n')


def test_a_slot_that_no_kind_has():
    with pytest.raises(BadBrief, match="slot hero: no spread kind has a place of that name; their names are"):
        make_event(shoot(), brief().model_copy(update={"slot": parse_slot("hero")}))


def test_a_slot_says_who_may_lead():
    event = make_event(shoot(), brief().model_copy(update={"slot": parse_slot("lead")}))
    leads = [n for n, slot in enumerate(event.assembly.slots) if slot.name.startswith("lead")]
    assert leads
    assert all(event.assembly.slots[n].role == "wide" for n in leads)


def parse_slot(name):
    return parse_brief(f'name = "x"\nsize = 1\n[[slot]]\nrole = "wide"\nname = "{name}"\n').slot


@pytest.mark.parametrize("name", [name for name in brief_names() if name.endswith("album")])
def test_album_briefs_that_come_with_it_make_events(name):
    assert make_event(shoot(60, 4), load_brief(name)).book.chapters >= 2

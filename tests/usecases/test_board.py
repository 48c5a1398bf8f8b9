"""The board: each act answers as the session does, is kept at once, and is said in a sentence that is true."""

import json
import re
import tomllib
from pathlib import Path

import jsonschema
import pytest

from setsolver.api import Catalog
from setsolver.errors import BadBrief, BadInput, NoSuchFrame
from setsolver.usecases.board import MOST_SWAPS
from setsolver.usecases.board.acts import read_act
from setsolver.usecases.board.rows import key_of
from setsolver.usecases.index import open_index
from setsolver.usecases.learn import read_choices
from setsolver.usecases.schemas import choice_schema
from tests.cli.shoot import BRIEF
from tests.usecases.boards import act, frame_rows, make_folder, open_board, write_brief


@pytest.fixture
def board(tmp_path):
    return open_board(tmp_path)


def hung(view):
    return [print_["path"] for print_ in view["set"]["prints"]]


def first_swap(board, place=0):
    print_ = board.view()["set"]["prints"][place]
    return print_, board.swaps(print_["frame"], proven=True)["swaps"][0]


def corrections(tmp_path):
    """Return what the index on the disk holds of what was said of frames, by path and name."""
    with open_index(tmp_path / "pottery") as store:
        return store.corrections()


def choices(board):
    file = board.kept.choices.file
    return [json.loads(line) for line in file.read_text("utf-8").splitlines()] if file.exists() else []


def test_the_view_adds_up_and_shows_the_plan(board):
    view = board.view()
    found = view["set"]
    assert len(found["prints"]) == 3
    assert sum(found["account"].values()) == pytest.approx(found["score"])
    assert sum(weight["now"] for weight in view["weights"]) == pytest.approx(found["score"])
    assert found["proven"]
    assert found["proof"].startswith("Proven")
    # a row of three prints 20 cm wide, 6 cm apart (the brief's default gap): 3 * 20 + 2 * 6
    assert found["plan"]["width"] == pytest.approx(72)
    assert [round(print_["box"][0]) for print_ in found["prints"]] == [0, 26, 52]
    assert json.loads(json.dumps(view)) == view


def test_the_tray_holds_every_frame_by_a_key_that_says_no_path(board):
    rows = frame_rows(board.frames())
    assert {row["frame"] for row in rows} == {key_of(frame.path) for frame in board.session.snapshot.frames}
    assert all(re.fullmatch("[0-9a-f]{16}", row["frame"]) for row in rows)


def test_swaps_are_the_session_s_the_best_of_each_look_and_proven(board):
    print_ = board.view()["set"]["prints"][1]
    folds = {row["frame"]: row["fold"] for row in frame_rows(board.frames())}
    quick, sure = (board.swaps(print_["frame"], proven=proven)["swaps"] for proven in (False, True))
    every = list(board.session.swaps(print_["path"], 100))
    looks = {}
    for swap in every:
        looks.setdefault(folds[key_of(swap.path)], []).append(swap)
    expected = [look[0] for look in looks.values()][:MOST_SWAPS]
    assert [swap["path"] for swap in sure] == [swap.path for swap in expected] == [swap["path"] for swap in quick]
    assert [swap["like"] for swap in sure] == [len(look) - 1 for look in looks.values()][:MOST_SWAPS]
    for said, swap in zip(sure, expected, strict=True):
        assert said["points"] == pytest.approx(swap.points)
        assert said["best_points"] >= said["points"] - 1e-6
        assert said["best_proven"]
    assert {swap["best_points"] for swap in quick} == {None}


def test_what_holds_the_set_back_is_what_the_session_prices(board):
    told, outcome = board.holds(), board.session.prices()
    assert outcome.prices  # or nothing would be tested
    dear = [price for price in outcome.prices if price.points is None or price.points >= 0.05]
    assert [one["points"] for one in told["holds"]] == [price.points for price in dear]
    assert told["free"] == len(outcome.prices) - len(dear)
    assert all(one["says"].endswith(".") for one in told["holds"])


def test_what_a_swap_stands_for_is_shown_when_asked_and_proven_too(board):
    asked = 0
    for print_ in board.view()["set"]["prints"]:
        every = {swap.path: swap for swap in board.session.swaps(print_["path"], 100)}
        shown = board.swaps(print_["frame"], proven=False)["swaps"]
        for swap in shown:
            like = board.swaps(print_["frame"], proven=True, like=swap["frame"])["swaps"]
            assert len(like) == swap["like"]
            for one in like:
                assert one["points"] == pytest.approx(every[one["path"]].points)
                assert one["points"] <= swap["points"]
                assert one["best_points"] == pytest.approx(every[one["path"]].best_points)
                asked += one["best_proven"]
        everyone = {swap["path"] for swap in shown}
        assert len(everyone) + sum(swap["like"] for swap in shown) == len(every)
    assert asked > 0  # the drawn shoot has repeats


def test_a_pinned_print_has_swaps_too_and_gives_way_to_one(board):
    """After a swap all prints are pinned, so that they stay: the next one must be possible all the same."""
    print_, swap = first_swap(board)
    before = act(board, do="put", frame=swap["frame"], instead=print_["frame"], others="stay")
    assert set(before["pinned"]) == {one["frame"] for one in before["set"]["prints"]}
    other, next_ = first_swap(board, place=2)
    assert next_["best_points"] >= next_["points"] - 1e-6
    after = act(board, do="put", frame=next_["frame"], instead=other["frame"], others="stay")
    assert set(hung(after)) == set(hung(before)) - {other["path"]} | {next_["path"]}
    assert after["set"]["score"] == pytest.approx(before["set"]["score"] + next_["points"])


def test_the_rules_that_make_a_swap_s_difference_are_the_largest(board):
    _, swap = first_swap(board)
    amounts = [abs(part["points"]) for part in swap["because"]]
    assert amounts == sorted(amounts, reverse=True)
    assert amounts


def test_a_swap_taken_keeps_the_others_and_is_worth_what_it_said(board):
    before = board.view()
    print_, swap = first_swap(board)
    after = act(board, do="put", frame=swap["frame"], instead=print_["frame"], others="stay")
    assert set(hung(after)) == set(hung(before)) - {print_["path"]} | {swap["path"]}
    assert after["set"]["score"] >= before["set"]["score"] + swap["points"] - 1e-6
    assert after["said"].startswith(f"{swap['name']} for {print_['name']}; the others stay.")


def test_a_swap_with_the_others_answering_is_the_best_set_with_it(board):
    before = board.view()["set"]["score"]
    print_, swap = first_swap(board, place=2)
    after = act(board, do="put", frame=swap["frame"], instead=print_["frame"], others="answer")
    assert after["set"]["score"] == pytest.approx(before + swap["best_points"])
    assert swap["path"] in hung(after)


def test_a_choice_is_kept_as_its_schema_says_and_goes_with_undo(board):
    before = hung(board.view())
    print_, swap = first_swap(board)
    act(board, do="put", frame=swap["frame"], instead=print_["frame"], others="stay")
    (choice,) = choices(board)
    jsonschema.validate(choice, choice_schema())
    assert set(choice["over"][0]) == set(before)
    assert swap["path"] in choice["chosen"]
    act(board, do="undo")
    assert choices(board) == []
    act(board, do="redo")
    assert choices(board) == [choice]


def test_keeping_an_alternate_prefers_it_to_all_that_were_shown(board):
    best, shown = hung(board.view()), board.alternates()
    wanted = shown["sets"][0]
    after = act(board, do="keep", number=2, revision=shown["revision"])
    assert set(hung(after)) == {print_["path"] for print_ in wanted["prints"]}
    (choice,) = choices(board)
    assert set(choice["chosen"]) == set(hung(after))
    assert set(best) in [set(paths) for paths in choice["over"]]
    assert len(choice["over"]) == len(shown["sets"])


def test_an_alternate_of_before_is_refused(board):
    shown = board.alternates()
    act(board, do="bar", frame=board.view()["set"]["prints"][0]["frame"])
    with pytest.raises(BadInput, match="changed since"):
        act(board, do="keep", number=2, revision=shown["revision"])


def test_pin_bar_and_free_are_wishes_of_the_working_copy(board):
    view = board.view()
    out, other = (
        view["set"]["prints"][0],
        next(row for row in frame_rows(board.frames()) if row["path"] not in hung(view)),
    )
    after = act(board, do="bar", frame=out["frame"])
    assert out["path"] not in hung(after)
    assert after["barred"] == [out["frame"]]
    after = act(board, do="pin", frame=other["frame"])
    assert other["frame"] in [print_["frame"] for print_ in after["set"]["prints"]]
    kept = tomllib.loads(board.kept.brief_file.read_text("utf-8"))["frames"]
    assert kept["exclude"] == [out["path"]]
    after = act(board, do="free", frame=out["frame"])
    assert (after["barred"], after["pinned"]) == ([], [other["frame"]])


def test_all_pins_are_freed_at_once_and_bars_stay(board):
    keys = [print_["frame"] for print_ in board.view()["set"]["prints"]]
    before = board.view()
    act(board, do="bar", frame=next(row["frame"] for row in frame_rows(board.frames()) if row["frame"] not in keys))
    pinned = act(board, do="pin many", frames=keys)
    assert sorted(pinned["pinned"]) == sorted(keys)
    freed = act(board, do="free all")
    assert freed["pinned"] == []
    assert freed["barred"] == pinned["barred"] != []
    assert freed["said"].startswith("No frame is pinned any more.")
    assert act(board, do="undo")["pinned"] == pinned["pinned"]
    assert before["pinned"] == []


def test_a_folder_is_barred_whole(board):
    view = act(board, do="bar", frame=key_of("morning/0000.jpg"), folder=True)
    assert set(view["barred"]) == {key_of(f"morning/000{n}.jpg") for n in range(4)}
    assert all(path.startswith("evening/") for path in hung(view))


def test_a_weight_moves_its_points_alone_where_the_set_stays(board):
    before = board.view()
    after = act(board, do="weigh", term="quality", points=30)
    weight = next(weight for weight in after["weights"] if weight["term"] == "quality")
    assert weight["points"] == 30
    assert "other weights" in after["said"]
    if hung(after) == hung(before):
        was = next(weight for weight in before["weights"] if weight["term"] == "quality")
        assert weight["now"] == pytest.approx(was["now"] * 30 / was["points"])  # linear in the weights


def test_stars_turns_and_scales_are_corrections_in_the_index(board, tmp_path):
    key, path = key_of("morning/0001.jpg"), "morning/0001.jpg"
    act(board, do="rate", frame=key, stars=4)
    act(board, do="rescale", frame=key, scale="close")
    act(board, do="turn", frame=key)
    # kept once it is answered, whoever ends then; the frame itself is measured beside the board
    said = {"stars": "4", "scale": "close", "turn": "90"}
    assert corrections(tmp_path)[path].items() >= said.items()
    board.settling.wait(120)
    frame = next(frame for frame in Catalog(tmp_path / "pottery").frames() if frame.path == path)
    assert (frame.stars, frame.said, frame.turn) == (4, "close", 90)
    assert (frame.width, frame.height) == (600, 900)
    for _ in range(3):
        act(board, do="undo")
    assert not corrections(tmp_path)[path].keys() & said.keys()
    board.settling.wait(120)
    frame = next(frame for frame in Catalog(tmp_path / "pottery").frames() if frame.path == path)
    assert (frame.stars, frame.said, frame.turn) == (None, None, None)


def test_undo_and_redo_go_back_and_forth_exactly(board):
    seen = [hung(board.view())]
    for place in range(2):
        after = act(board, do="bar", frame=board.view()["set"]["prints"][place]["frame"])
        seen.append(hung(after))
    assert hung(act(board, do="undo")) == seen[1]
    assert hung(act(board, do="undo")) == seen[0]
    assert "nothing to take back" in act(board, do="undo")["said"]
    assert hung(act(board, do="redo")) == seen[1]
    assert hung(act(board, do="redo")) == seen[2]
    assert "nothing to do again" in act(board, do="redo")["said"]


def test_a_change_that_changes_nothing_says_so_and_is_no_step(board):
    key = board.view()["set"]["prints"][0]["frame"]
    first = act(board, do="pin", frame=key)
    again = act(board, do="pin", frame=key)
    assert again["said"].endswith("That was so already.")
    assert (again["undo"], again["revision"]) == (first["undo"], first["revision"])


def test_where_no_set_holds_the_clash_is_said_and_a_way_out_is_offered(board):
    for row in frame_rows(board.frames())[:6]:
        view = act(board, do="bar", frame=row["frame"])
    assert view["set"] is None
    assert view["status"] == "none"
    assert view["clash"]
    assert view["said"].startswith(f"{row['name']} is barred. No set holds under these rules: ")
    with pytest.raises(BadInput, match="no set to swap"):
        board.swaps(key_of("morning/0000.jpg"), proven=False)
    ways = board.ways()["ways"]
    says = [way["says"] for way in ways]
    assert says[0] == f"with {row['path']} let in 1 more frame counts and a set exists"
    assert {"without any of 6 bars 6 more frames count and a set exists", "with 2 frames a set exists"} <= set(says)
    for way in ways:
        shown = board.ways()
        assert act(board, do="way", number=way["number"], revision=shown["revision"])["set"] is not None
        act(board, do="undo")
    with pytest.raises(BadInput, match="look again"):
        act(board, do="way", number=1, revision=shown["revision"])
    assert act(board, do="begin again")["set"] is not None
    assert board.ways()["ways"] == []


def test_all_is_there_again_after_a_restart(board, tmp_path):
    print_, swap = first_swap(board)
    act(board, do="put", frame=swap["frame"], instead=print_["frame"], others="stay")
    act(board, do="weigh", term="appeal", points=25)
    before = act(board, do="rate", frame=swap["frame"], stars=5)
    again = open_board(tmp_path).view()  # nothing was closed: as after a kill
    assert hung(again) == hung(before)
    assert again["set"]["score"] == pytest.approx(before["set"]["score"])
    assert again["weights"] == before["weights"]
    assert again["said"] == "Here is where you left off."
    assert len(choices(board)) == 1


def test_the_brief_itself_is_never_written_and_an_edit_of_it_is_said(board, tmp_path):
    file = tmp_path / "any-three.toml"
    text = file.read_text("utf-8")
    act(board, do="weigh", term="appeal", points=25)
    assert file.read_text("utf-8") == text
    assert not board.view()["edited"]
    file.write_text(text.replace("print_cm = 20", "print_cm = 24"), encoding="utf-8")
    assert board.view()["edited"]
    assert board.view()["set"]["prints"][0]["print_cm"] == 20
    after = act(board, do="begin again")
    assert after["set"]["prints"][0]["print_cm"] == 24
    assert not after["edited"]


def test_two_boards_on_one_brief_do_not_overwrite_each_other(board, tmp_path):
    other = open_board(tmp_path)
    act(board, do="weigh", term="appeal", points=25)
    before = other.view()
    with pytest.raises(BadInput, match="not overwritten"):
        act(other, do="weigh", term="appeal", points=30)
    assert other.view()["weights"] == before["weights"]
    assert tomllib.loads(board.kept.brief_file.read_text("utf-8"))["weights"]["appeal"] == 25


def test_a_working_copy_that_cannot_be_read_is_refused_with_its_name(board, tmp_path):
    act(board, do="weigh", term="appeal", points=25)
    board.kept.brief_file.write_text("size = ", encoding="utf-8")
    with pytest.raises(BadBrief, match=r"any-three.*\.toml.*move it away"):
        open_board(tmp_path)


def test_what_is_no_frame_or_no_weight_changes_nothing(board):
    before = board.view()
    with pytest.raises(NoSuchFrame):
        act(board, do="pin", frame="0" * 16)
    with pytest.raises(BadBrief, match="beauty"):
        act(board, do="weigh", term="beauty", points=3)
    assert board.view() == before


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"[]",
        b'{"do":"delete"}',
        b'{"do":"pin"}',
        b'{"do":"pin","frame":"../../etc/passwd"}',
        b'{"do":"pin","frame":"0123456789abcdef","path":"x"}',
        b'{"do":"rate","frame":"0123456789abcdef","stars":6}',
        b'{"do":"rate","frame":"0123456789abcdef","stars":"5"}',
        b'{"do":"weigh","term":"appeal","points":1e9}',
        b'{"do":"weigh","term":"appeal","points":NaN}',
        b"\xff\xfe",
    ],
)
def test_what_is_no_act_is_refused(board, content):
    with pytest.raises(BadInput, match="nothing that the board can do"):
        read_act(content)


def test_pictures_are_of_shown_prints_and_catalogued_frames_only(board):
    print_ = board.view()["set"]["prints"][0]
    for corrected in (True, False):
        assert board.print_jpeg(print_["picture"], 240, corrected=corrected).startswith(b"\xff\xd8")
    assert board.frame_jpeg(print_["frame"], 240).startswith(b"\xff\xd8")
    with pytest.raises(NoSuchFrame):
        board.print_jpeg("0" * 20, 240, corrected=True)
    with pytest.raises(NoSuchFrame):
        board.frame_jpeg("0" * 16, 240)


def test_why_answers_for_frames_in_and_out(board):
    view = board.view()
    inside = board.why(view["set"]["prints"][0]["frame"])
    assert inside["in_set"]
    assert inside["lines"]
    outside = next(row for row in frame_rows(board.frames()) if row["path"] not in hung(view))
    assert not board.why(outside["frame"])["in_set"]


def test_a_read_only_folder_keeps_its_board_in_the_cache(tmp_path, monkeypatch):
    folder = make_folder(tmp_path)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setattr("setsolver.catalog.place._writable", _outside(folder))
    board = open_board(tmp_path)
    act(board, do="weigh", term="appeal", points=25)
    assert board.kept.brief_file.is_relative_to(tmp_path / "cache")


def _outside(folder):
    def writable(where):
        if where.is_relative_to(folder):
            return False
        where.mkdir(parents=True, exist_ok=True)
        return True

    return writable


def rule(view, key):
    return next(rule for rule in view["rules"] if rule["key"] == key)["value"]


def test_rules_are_changed_one_by_one_and_the_set_answers(board):
    after = act(board, do="change", key="print_cm", value=24)
    assert {print_["print_cm"] for print_ in after["set"]["prints"]} == {24}
    assert after["said"].startswith("Long edge, cm: now 24.")
    after = act(board, do="change", key="size", value=2)
    assert len(after["set"]["prints"]) == 2
    after = act(board, do="change", key="aspect", value="1:1")
    assert {print_["aspect"] for print_ in after["set"]["prints"]} == {"1:1"}
    after = act(board, do="change", key="repeats.scene", value=1)
    assert rule(after, "repeats.scene") == 1
    after = act(board, do="change", key="repeats.scene", value=None)
    assert rule(after, "repeats.scene") is None
    after = act(board, do="change", key="tone.reach.mid", value=0.5)
    assert (rule(after, "tone.reach.mid"), rule(after, "tone.reach.black")) == (0.5, 60)
    for _ in range(6):
        after = act(board, do="undo")
    assert (rule(after, "print_cm"), rule(after, "size"), rule(after, "tone.reach.mid")) == (20, 3, 60)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("size", 2.5),
        ("size", None),
        ("size", "3"),
        ("size", 0),
        ("aspect", 1.5),
        ("aspect", "wide"),
        ("roles.wide.least", 1),
        ("frames.include", "x"),
        ("name", "other"),
        ("tone.reach.mid", 101),
        ("tone", 1),
    ],
)
def test_a_rule_that_is_none_or_a_value_that_is_not_allowed_changes_nothing(board, key, value):
    before = board.view()
    with pytest.raises(BadInput):
        act(board, do="change", key=key, value=value)
    assert board.view() == before


def test_a_count_that_contradicts_others_is_said_shortly_with_each_way_out(tmp_path):
    write_brief(tmp_path, BRIEF.replace("[tone]", "[roles]\nwide = [0, 1]\nmedium = [1, 1]\nclose = [0, 1]\n[tone]", 1))
    board = open_board(tmp_path)
    with pytest.raises(BadBrief, match=r"^the roles allow at most 3 frames, but size is 4; let one have more$"):
        act(board, do="change", key="size", value=4)
    ways = board.mendings("size", 4)["ways"]
    assert [way["besides"] for way in ways] == [{f"roles.{role}.most": 2} for role in ("wide", "medium", "close")]
    assert ways[0]["says"] == "Prints in the set 4, with wide at most 2"
    changed = act(board, do="change", key="size", value=4, besides=ways[0]["besides"])
    assert changed["brief"]["size"] == 4
    assert {rule["key"]: rule["value"] for rule in changed["rules"]}["roles.wide.most"] == 2
    act(board, do="undo")
    assert board.view()["brief"]["size"] == 3
    assert board.mendings("size", 3)["ways"] == []  # nothing to mend
    assert board.mendings("roles.wide.least", 2)["ways"][0]["besides"] == {"roles.wide.most": 2}
    assert board.mendings("size", 9)["ways"] == []  # there are eight frames
    assert board.mendings("layout.gap_cm", 4)["ways"] == []  # no count
    with pytest.raises(BadInput, match="no rule that the board changes"):
        board.mendings("roles.kiln.least", 2)


def test_counts_of_roles_are_rules_where_the_brief_has_them(tmp_path):
    write_brief(tmp_path, BRIEF.replace("[tone]", "[roles]\nwide = [0, 3]\nmedium = [0, 3]\nclose = [0, 3]\n[tone]"))
    board = open_board(tmp_path)
    after = act(board, do="change", key="roles.close.most", value=1)
    assert sum(print_["plays"] == "close" for print_ in after["set"]["prints"]) <= 1 if after["set"] else after["clash"]
    with pytest.raises(BadInput, match="above the most"):
        act(board, do="change", key="roles.close.least", value=3)


def test_learn_reads_the_choices_wherever_the_catalog_is_moved(board, tmp_path):
    print_, swap = first_swap(board)
    act(board, do="put", frame=swap["frame"], instead=print_["frame"], others="stay")
    moved = (tmp_path / "pottery").rename(tmp_path / "moved")
    (choice,) = read_choices([moved / ".setsolver" / "board" / "choices.jsonl"])
    assert Path(choice.catalog).resolve() == moved.resolve()


@pytest.mark.parametrize("raised", [BadInput("no room"), OSError("disk"), RuntimeError("bug")])
def test_what_cannot_be_kept_is_not_done(board, monkeypatch, raised):
    before, count = board.view(), board.session.undoable
    print_, swap = first_swap(board)

    def fail(*_, **__):
        raise raised

    with monkeypatch.context() as patched:
        patched.setattr(board.kept, "save", fail)
        for what in (
            {"do": "weigh", "term": "appeal", "points": 3},
            {"do": "bar", "frame": print_["frame"]},
            {"do": "put", "frame": swap["frame"], "instead": print_["frame"], "others": "stay"},
        ):
            with pytest.raises(type(raised)):
                act(board, **what)
    after = board.view()
    assert {**after, "redo": 0} == before
    assert board.session.undoable == count
    assert choices(board) == []
    assert act(board, do="weigh", term="appeal", points=3)["undo"] == 1


def test_a_catalog_that_is_gone_is_said_and_the_board_goes_on(board, tmp_path):
    key = board.view()["set"]["prints"][0]["frame"]
    gone = (tmp_path / "pottery").rename(tmp_path / "elsewhere")
    before = board.view()
    for what in ({"do": "rate", "frame": key, "stars": 3}, {"do": "bar", "frame": key}):
        with pytest.raises(BadInput):
            act(board, **what)
    assert {**board.view(), "redo": 0} == before
    gone.rename(tmp_path / "pottery")
    assert act(board, do="rate", frame=key, stars=3)["undo"] == 1

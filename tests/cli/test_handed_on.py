"""Options reach what they steer as they were given; what they steer is put aside, and only written down."""

from contextlib import nullcontext
from pathlib import Path
from types import SimpleNamespace as Made

import pytest
from rich.console import Console

from setsolver.cli import frames
from setsolver.render.save import OutProfile
from setsolver.usecases.finish_metadata import Sidecars
from setsolver.usecases.finish_size import Wish
from tests.cli.conftest import run


class Recorded(Exception):  # noqa: N818 - no error: where a command is left
    """What a use case was asked."""

    def __init__(self, *given, **more):
        super().__init__(given, more)
        self.given, self.more = given, more


@pytest.fixture
def asked(monkeypatch):
    """Return what runs a command as far as a use case, and tells what that was asked."""

    def of(usecase, *words):
        def record(*given, **more):
            raise Recorded(*given, **more)

        with monkeypatch.context() as patched:
            patched.setattr(f"setsolver.usecases.{usecase}", record)
            with pytest.raises(Recorded) as found:
                run(*words)
        return found.value.given, found.value.more

    return of


@pytest.fixture
def loaded(monkeypatch):
    monkeypatch.setattr("setsolver.usecases.sets.load_set", lambda name: (Made(catalog="pottery"), f"set {name}"))


SRGB = OutProfile("sRGB IEC61966-2.1")


@pytest.mark.usefixtures("loaded")
def test_finish_wishes_for_what_its_options_say(asked, tmp_path):
    (outcome, found, catalog, out, wish), more = asked("finish.finish", "finish", "hall", "--out", tmp_path)
    assert (outcome.catalog, found, catalog, out) == ("pottery", "set hall", Path("pottery"), tmp_path)
    assert wish == Wish(SRGB)
    assert more.pop("progress")("measuring", 0, 1) is None
    plain = {"sidecars": Sidecars(None, beside=False), "hanging_paper": "A4", "wall_photograph": None, "workers": None}
    assert more == plain | {"apart": True}
    words = """
        --format jpeg --ppi 240 --paper matt --intent perceptual --bleed-mm 3 --border-mm 5 --web 900
        --plan-paper Letter --wall-photograph wall.jpg --sidecars xmp --beside --workers 2 --catalog moved
    """.split()  # noqa: SIM905 - as they are typed
    (_, _, catalog, _, wish), more = asked("finish.finish", "finish", "hall", "--out", tmp_path, *words)
    assert catalog == Path("moved")
    assert wish == Wish(OutProfile(SRGB.name, None, "perceptual"), 240.0, "jpeg", 3.0, 5.0, None, 900, "matt")
    del more["progress"]
    given = {"hanging_paper": "Letter", "wall_photograph": Path("wall.jpg"), "workers": 2, "apart": True}
    assert more == given | {"sidecars": Sidecars(Path("xmp"), beside=True)}


@pytest.mark.usefixtures("loaded")
@pytest.mark.parametrize("kind", ["tiff", "jpeg"])
def test_small_prints_for_a_message_are_jpegs_of_1600_pixels(asked, tmp_path, kind):
    words = ("finish", "hall", "--out", tmp_path, "--proof", "--format", kind)
    (_, _, _, _, wish), _ = asked("finish.finish", *words)
    assert wish == Wish(SRGB, format="jpeg", proof=1600)


def test_scan_asks_for_what_its_options_say(asked, tmp_path):
    given, more = asked("scan.scan", "scan", tmp_path)
    nothing = {"progress": None, "workers": None, "cluster": None, "force": False, "quick": False, "clocks": {}}
    assert (given, more) == ((tmp_path,), nothing)
    words = ["--fast", "--workers", "0", "--cluster", "tcp://a:1", "--clock", "A=B=+1h", "--clock", "Two=-7m"]
    _, more = asked("scan.scan", "scan", tmp_path, *words)
    assert more == nothing | {
        "workers": 0,
        "cluster": "tcp://a:1",
        "quick": True,
        "clocks": {"A=B": "+1h", "Two": "-7m"},
    }
    assert asked("scan.scan", "scan", tmp_path, "--again")[1] == nothing | {"force": True}


@pytest.mark.usefixtures("loaded")
@pytest.mark.parametrize(("points", "code"), [(None, 1), (0.0, 0), (2.5, 0)])
def test_why_ends_with_1_where_no_set_with_the_frame_exists(monkeypatch, points, code):
    session = Made(snapshot=Made(frames=[Made(path="a.jpg")]))
    document = {"frame": "a.jpg", "in_set": False, "says": "", "lines": [], "points": points}
    for name, stand_in in {
        "cli.measured.measured": lambda home, _: Made(session=lambda brief, effort: nullcontext(session)),
        "cli.measured.solving": lambda *_: nullcontext(None),
        "usecases.reopened.brief_of": lambda _: None,
        "usecases.home.own_path": lambda home, name, known: name if name in known else None,
        "usecases.why.why_in": lambda session, found, path: document | {"says": f"{found}, {path}"},
    }.items():
        monkeypatch.setattr(f"setsolver.{name}", stand_in)
    for name in ("a.jpg", "b.jpg"):
        found, text, _ = run("why", "hall", name, "--catalog", "pottery")
        assert (found, text) == (code, f"a.jpg is not in the set. set hall, {name}\n")


def frame(**more):
    tone = Made(black=9.96, white=91.54, mid=48.04, contrast=20.0, cast_a=-0.26, cast_b=1.0)
    detail = Made(sharpness=0.456, grain=1.236)
    appeal = Made(value=3.14, spread=0.66)
    measures = {
        "tone": tone,
        "tilt": Made(degrees=-1.234),
        "faces": "ab",
        "detail": detail,
        "quality": 0.5,
        "appeal": appeal,
    }
    shot = Made(taken="2026-05-02T09:10:11.5")
    given = {"path": "jar.jpg", "width": 900, "height": 600, "odds": Made(best="wide", sure=0.5), "said": "", "turn": 0}
    given |= {"given_stars": 4.5, "kind": "photograph", "moment": 1, "scene": 2, "chapter": 3, "note": "n"}
    own = more.pop("measures", {})
    return Made(**given | {"shot": shot, "measures": Made(**measures | own)} | more)


def test_each_column_of_frames_holds_what_it_is_called_by():
    row = dict(zip(frames._COLUMNS, frames._row(frame()), strict=True))
    assert row == {
        "path": "jar.jpg",
        "time": "2026-05-02T09:10:11.5",
        "width": "900",
        "height": "600",
        "scale": "wide",
        "probability": "0.50",
        "said": "",
        "turn": "0",
        "black": "10.0",
        "white": "91.5",
        "mid": "48.0",
        "contrast": "20.0",
        "cast_a": "-0.3",
        "cast_b": "1.0",
        "tilt_degrees": "-1.23",
        "faces": "2",
        "sharpness": "0.46",
        "grain": "1.24",
        "quality": "0.50",
        "appeal": "3.1",
        "spread": "0.7",
        "stars": "4.5",
        "kind": "photograph",
        "moment": "1",
        "scene": "2",
        "chapter": "3",
        "note": "n",
    }
    shown = frames._shown(frame(said="wide"))
    assert (shown["scale"], shown["time"]) == ("wide (said)", "2026-05-02 09:10:11")


@pytest.mark.parametrize("columns", [40, 240])
def test_columns_that_have_no_room_in_a_window_are_named(told, monkeypatch, columns):
    console = Console
    monkeypatch.setattr(
        "rich.console.Console", lambda file: console(file=file, width=columns, force_terminal=True, color_system=None)
    )
    refused = [Made(path="b.jpg", why="cut off")]
    lines = told(frames._show, Made(frames=[frame()], refused=refused))
    assert lines[0].split()[:2] == ["path", "time"]
    assert all(len(line) <= columns for line in lines[:2])
    left = ", ".join(name for name in frames._SHOWN if name not in ("path", "time", "scale"))
    assert lines[2:-1] == ([f"no room in this window for {left}; --csv has all columns"] if columns == 40 else [])
    assert lines[-1] == "not measured: b.jpg: cut off"


def test_what_is_not_known_of_a_frame_is_left_empty():
    unknown = {"tilt": Made(degrees=None), "appeal": None}
    odds = Made(best="wide", sure=0.4999)
    row = frames._row(frame(turn=None, given_stars=None, shot=Made(taken=None), odds=odds, measures=unknown))
    row = dict(zip(frames._COLUMNS, row, strict=True))
    empty = {name for name, text in row.items() if not text}
    assert empty == {"time", "said", "turn", "tilt_degrees", "appeal", "spread", "stars"}
    assert (row["scale"], row["probability"]) == ("unsure", "0.50")

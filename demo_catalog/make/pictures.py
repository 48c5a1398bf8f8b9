"""The pictures that the README shows: proof sheets and walls of the demo catalog, its board and its album."""

import shutil
import tempfile
from collections.abc import Collection
from pathlib import Path

from PIL import Image

from demo_catalog.make.commands import run
from demo_catalog.make.shown import album_picture, board_pictures

# File name: brief, section that the picture begins with (none: the top), width and height in pixels.
VIEWS = {
    "proof-set": ("wall-three", "", (900, 760)),
    "proof-why": ("wall-three", "ledger", (900, 1430)),
    "proof-nine": ("wall-nine", "", (750, 1000)),
}

HALL = ("wall-three", (1066, 1052))
"""The brief that is finished for the pictures of the wall, and the size of that of its plan, in pixels."""
WALL = """
[wall]
width = 260
height = 240
centre = 150
mount = 4
frame = 2
clear = [{ what = "bench", left = 60, width = 140, height = 75 }]
"""
WALL_WIDTH = 1200

# A frame serves as photograph of a wall: be-w1, towards the bench. The corners follow from the camera and the room that
# `shots` and `places` give: on the plane y = 0, x from 5.5 to 2.5 m, 1 to 2.4 m above the floor.
WALL_SEEN = """
[wall]
width = 420
height = 258
centre = 164
mount = 5
frame = 2
clear = [{ what = "bench", left = 50, width = 320, height = 86 }]

[wall.photograph]
file = "demo_catalog/2-afternoon/0040.jpg"
left = 50
bottom = 100
width = 300
height = 140
corners = [[676.7, 263.3], [1079.8, 214.8], [1063.4, 502.8], [680.0, 458.5]]
"""
SEEN_PART = (360, 120, 1536, 940)
SEEN_WIDTH = 1100


def readme_pictures(catalog: Path, out: Path, parts: Collection[str]) -> None:
    """Make some parts of the README's pictures from a copy of the catalog; the catalog itself gets no index.

    Needs the commands `setsolver` and `chromium`, and what each part names besides.
    """
    out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as scratch:
        copy = Path(scratch) / "demo_catalog"
        shutil.copytree(catalog, copy, ignore=shutil.ignore_patterns(".*", "make", "__pycache__"))
        for part in parts:
            PARTS[part](copy, Path(scratch), out)


def _sheets(catalog: Path, scratch: Path, out: Path) -> None:
    """Solve the briefs and photograph a view of each proof sheet."""
    for brief in sorted({brief for brief, _, _ in VIEWS.values()}):
        run("setsolver", "suggest", str(catalog), "--brief", brief, "--out", str(scratch / brief))
    for name, (brief, part, size) in VIEWS.items():
        _photograph(scratch / brief / "proof.html", part, size, out / f"{name}.png")


def _finished(catalog: Path, scratch: Path, out: Path) -> None:
    """Finish a set for a wall and keep the picture of the wall, smaller, and its hanging plan, photographed."""
    brief = scratch / "hall.toml"
    brief.write_text(run("setsolver", "brief", "show", HALL[0]) + WALL, encoding="utf-8")
    run("setsolver", "suggest", str(catalog), "--brief", str(brief), "--out", str(scratch / "hall"))
    run("setsolver", "finish", str(scratch / "hall"), "--out", str(scratch / "prints"))
    with Image.open(scratch / "prints" / "wall.jpg") as wall:
        height = round(wall.height * WALL_WIDTH / wall.width)
        wall.resize((WALL_WIDTH, height), Image.Resampling.LANCZOS).save(out / "wall.jpg", quality=88)
    page = scratch / "plan.html"
    page.write_bytes((scratch / "prints" / "hanging-plan.svg").read_bytes())
    _photograph(page, "", HALL[1], out / "hanging-plan.png")


def _seen(catalog: Path, scratch: Path, out: Path) -> None:
    """Finish the same set, larger, for a wall that a frame of the catalog shows; keep the part around the prints."""
    brief = scratch / "seen.toml"
    text = run("setsolver", "brief", "show", HALL[0])
    for said, now in (("print_cm = 30 ", "print_cm = 50 "), ("min_ppi = 100 ", "min_ppi = 75 ")):
        if said not in text:
            message = f"the brief {HALL[0]} no longer says {said.strip()!r}; change what takes its place here"
            raise ValueError(message)
        text = text.replace(said, now)
    brief.write_text(text + WALL_SEEN, encoding="utf-8")
    run("setsolver", "suggest", str(catalog), "--brief", str(brief), "--out", str(scratch / "seen"))
    run("setsolver", "finish", str(scratch / "seen"), "--out", str(scratch / "seen-prints"))
    with Image.open(scratch / "seen-prints" / "wall.jpg") as wall:
        part = wall.crop(SEEN_PART)
        height = round(part.height * SEEN_WIDTH / part.width)
        part.resize((SEEN_WIDTH, height), Image.Resampling.LANCZOS).save(
            out / "wall-photograph.jpg", quality=86, optimize=True
        )


def _photograph(page: Path, part: str, size: tuple[int, int], picture: Path) -> None:
    """Show the page at 4/3 of the picture's size from the section `part` on, its ledger unfolded, and photograph it."""
    rest = f":is(header.head, main > section:has(~ #{part})) {{ display: none }}" if part else ""
    view = page.with_name("view.html")
    fold = "<details>\n    <summary>The score as a ledger"
    unfolded = page.read_text(encoding="utf-8").replace(fold, fold.replace("<details>", "<details open>"))
    view.write_text(f"{unfolded}<style>{rest}</style>", encoding="utf-8")
    run(
        "chromium",
        "--headless",
        "--no-sandbox",
        "--hide-scrollbars",
        "--force-device-scale-factor=0.75",
        f"--window-size={round(size[0] / 0.75)},{round(size[1] / 0.75)}",
        f"--screenshot={picture.resolve()}",
        view.resolve().as_uri(),
    )


PARTS = {
    "sheets": _sheets,
    "wall": _finished,
    "photographed wall": _seen,
    "board": board_pictures,
    "album": album_picture,
}
MADE = {
    *(f"{name}.png" for name in VIEWS),
    *("wall.jpg", "hanging-plan.png", "wall-photograph.jpg"),
    *("board.png", "board-two.png", "board-phone.png", "album.jpg"),
}
"""All that the parts write."""

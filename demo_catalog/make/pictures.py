"""The pictures that the README shows: proof sheets of the demo catalog, photographed in a browser."""

import shutil
import subprocess
import tempfile
from pathlib import Path

from PIL import Image

# File name: brief, section that the picture begins with (none: the top), width and height in pixels.
VIEWS = {
    "proof-set": ("wall-three", "", (900, 760)),
    "proof-why": ("wall-three", "ledger", (900, 1340)),
    "proof-nine": ("wall-nine", "", (750, 1000)),
}

HALL = ("wall-three", (1066, 986))
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


def readme_pictures(catalog: Path, out: Path) -> None:
    """Solve the briefs on a copy of the catalog and write one PNG a view into `out`.

    Needs the commands `setsolver` and `chromium`; the catalog itself gets no index.
    """
    with tempfile.TemporaryDirectory() as scratch:
        copy = Path(scratch) / "demo_catalog"
        shutil.copytree(catalog, copy, ignore=shutil.ignore_patterns(".*", "make", "__pycache__"))
        for brief in sorted({brief for brief, _, _ in VIEWS.values()}):
            _run("setsolver", "suggest", str(copy), "--brief", brief, "--out", str(Path(scratch) / brief))
        for name, (brief, part, size) in VIEWS.items():
            _photograph(Path(scratch) / brief / "proof.html", part, size, out / f"{name}.png")
        _finished(copy, Path(scratch), out)


def _finished(catalog: Path, scratch: Path, out: Path) -> None:
    """Finish a set for a wall and keep the picture of the wall, smaller, and its hanging plan, photographed."""
    brief = scratch / "hall.toml"
    brief.write_text(_run("setsolver", "brief", "show", HALL[0]) + WALL, encoding="utf-8")
    _run("setsolver", "suggest", str(catalog), "--brief", str(brief), "--out", str(scratch / "hall"))
    _run("setsolver", "finish", str(scratch / "hall"), "--out", str(scratch / "prints"))
    with Image.open(scratch / "prints" / "wall.jpg") as wall:
        height = round(wall.height * WALL_WIDTH / wall.width)
        wall.resize((WALL_WIDTH, height), Image.Resampling.LANCZOS).save(out / "wall.jpg", quality=88)
    page = scratch / "plan.html"
    page.write_bytes((scratch / "prints" / "hanging-plan.svg").read_bytes())
    _photograph(page, "", HALL[1], out / "hanging-plan.png")


def _photograph(page: Path, part: str, size: tuple[int, int], picture: Path) -> None:
    """Show the page at 4/3 of the picture's size from the section `part` on, its ledger unfolded, and photograph it."""
    rest = f":is(header.head, main > section:has(~ #{part})) {{ display: none }}" if part else ""
    view = page.with_name("view.html")
    fold = "<details>\n    <summary>The score as a ledger"
    unfolded = page.read_text(encoding="utf-8").replace(fold, fold.replace("<details>", "<details open>"))
    view.write_text(f"{unfolded}<style>{rest}</style>", encoding="utf-8")
    _run(
        "chromium",
        "--headless",
        "--no-sandbox",
        "--hide-scrollbars",
        "--force-device-scale-factor=0.75",
        f"--window-size={round(size[0] / 0.75)},{round(size[1] / 0.75)}",
        f"--screenshot={picture.resolve()}",
        view.resolve().as_uri(),
    )


def _run(*command: str) -> str:
    found = shutil.which(command[0])
    if found is None:
        message = f"the command {command[0]!r} is not on the path; install it first"
        raise FileNotFoundError(message)
    done = subprocess.run([found, *command[1:]], check=True, capture_output=True)  # noqa: S603 - our own commands and files
    return done.stdout.decode()

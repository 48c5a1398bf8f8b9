"""The pictures that the README shows: proof sheets of the demo catalog, photographed in a browser."""

import shutil
import subprocess
import tempfile
from pathlib import Path

# File name: brief, section that the picture begins with (none: the top), width and height in pixels.
VIEWS = {
    "proof-set": ("wall-three", "", (900, 760)),
    "proof-why": ("wall-three", "ledger", (900, 1010)),
    "proof-nine": ("wall-nine", "", (750, 1000)),
}


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


def _run(*command: str) -> None:
    found = shutil.which(command[0])
    if found is None:
        message = f"the command {command[0]!r} is not on the path; install it first"
        raise FileNotFoundError(message)
    subprocess.run([found, *command[1:]], check=True, capture_output=True)  # noqa: S603 - our own commands and files

"""The proof sheet in a real browser: it renders without network, wide and narrow, and nothing spills over the side.

Headless Chromium (Debian's package) lays the page out; where none is installed, the test says so and skips.
"""

import re
import shutil
import subprocess

import numpy as np
import pytest
from PIL import Image

from setsolver.output import proof_html
from setsolver.usecases.suggest import suggest
from tests.rules.builders import make_brief, make_shoot

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--hide-scrollbars",
]
PROBE = """<script>document.addEventListener('DOMContentLoaded', () => {
  document.title = 'wide ' + document.documentElement.scrollWidth + ' of ' + window.innerWidth; });</script>"""

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium here (Debian: apt-get install chromium)"),
]


def picture(path, long_side):
    rng = np.random.default_rng(len(path) + int(path[6:10]))
    return np.broadcast_to(rng.integers(0, 255, 3, dtype=np.uint8), (long_side * 2 // 3, long_side, 3)).copy()


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    file = tmp_path_factory.mktemp("page") / "proof.html"
    file.write_text(proof_html(suggest(make_shoot(12), make_brief()), picture), encoding="utf-8")
    return file


def chromium(folder, *arguments):
    command = [CHROMIUM, *FLAGS, f"--user-data-dir={folder}/profile", *arguments]
    return subprocess.run(command, capture_output=True, check=True, timeout=120)


@pytest.mark.parametrize("width", [1400, 500])
def test_the_page_paints_pictures(page, tmp_path, width):
    shot = tmp_path / "shot.png"
    chromium(tmp_path, f"--window-size={width},1200", f"--screenshot={shot}", page.as_uri())
    pixels = np.asarray(Image.open(shot).convert("RGB"))
    assert pixels.shape[1] == width
    assert len(np.unique(pixels.reshape(-1, 3), axis=0)) > 50
    assert pixels.std() > 10


@pytest.mark.parametrize("width", [1400, 500])
def test_nothing_spills_over_the_side(page, tmp_path, width):
    probe = tmp_path / "probe.html"
    text = re.sub(r"<meta http-equiv=.Content-Security-Policy.[^>]*>", "", page.read_text("utf-8"))
    probe.write_text(text.replace("</head>", f"{PROBE}</head>", 1), encoding="utf-8")
    dom = chromium(tmp_path, f"--window-size={width},1200", "--dump-dom", probe.as_uri()).stdout.decode()
    scroll, inner = map(int, re.search(r"<title>wide (\d+) of (\d+)", dom).groups())
    assert scroll <= inner

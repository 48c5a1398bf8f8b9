"""The proof sheet in a real browser: it renders without network, wide and narrow, and nothing spills over the side.

Headless Chromium (Debian's package) lays the page out; where none is installed, the test says so and skips.
"""

import json
import re
import shutil
import subprocess
from html import unescape

import jsonschema
import numpy as np
import pytest
from PIL import Image

from setsolver.domain.choice import ChoiceRecord
from setsolver.output import proof_html
from setsolver.usecases.schemas import SCHEMAS
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


RESULT = suggest(make_shoot(12), make_brief())


def picture(path, long_side):
    rng = np.random.default_rng(len(path) + int(path[6:10]))
    return np.broadcast_to(rng.integers(0, 255, 3, dtype=np.uint8), (long_side * 2 // 3, long_side, 3)).copy()


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    file = tmp_path_factory.mktemp("page") / "proof.html"
    file.write_text(proof_html(RESULT, picture), encoding="utf-8")
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


SAVED = """<script>document.addEventListener('DOMContentLoaded', () => {
  URL.createObjectURL = (file) => { file.text().then((text) => { document.title = text; }); return '#'; };
  document.querySelector('[name=prefer][value="2"]').click();
  document.querySelector('[data-print="1"]').click();
  const note = document.querySelector('[data-note="print 2"]');
  note.value = 'too dark?'; note.dispatchEvent(new Event('input', { bubbles: true }));
  document.getElementById('by').value = 'The school';
  document.getElementById('save').click(); });</script>"""


def test_an_answer_is_saved_as_a_choice(page, tmp_path):
    probe = tmp_path / "probe.html"
    text = re.sub(r"<meta http-equiv=.Content-Security-Policy.[^>]*>", "", page.read_text("utf-8"))
    probe.write_text(text.replace("</body>", f"{SAVED}</body>", 1), encoding="utf-8")
    dom = chromium(tmp_path, "--virtual-time-budget=4000", "--dump-dom", probe.as_uri()).stdout.decode()
    line = unescape(re.search(r"<title>(.*?)</title>", dom, re.DOTALL).group(1))
    choice = ChoiceRecord.model_validate_json(line)
    jsonschema.validate(json.loads(line), SCHEMAS["choice.schema.json"]())
    sets = [tuple(frame.path for frame in found.frames) for found in RESULT.sets]
    assert (choice.chosen, choice.over) == (sets[1], (sets[0], *sets[2:]))
    assert choice.kept == (sets[0][0],)
    assert choice.notes == {"print 2": "too dark?"}
    assert (choice.by, choice.brief) == ("The school", RESULT.brief["name"])


STACKED = """<script>document.addEventListener('DOMContentLoaded', () => {
  const boxes = Array.from(document.querySelectorAll('.set .print'), (print) => print.getBoundingClientRect());
  document.title = JSON.stringify(boxes.map((box) => [box.left, box.right, box.top, box.bottom])); });</script>"""


@pytest.mark.parametrize(("width", "stacked"), [(500, True), (1400, False)])
def test_prints_stand_under_one_another_on_a_phone_and_side_by_side_on_a_desk(page, tmp_path, width, stacked):
    probe = tmp_path / "probe.html"
    text = re.sub(r"<meta http-equiv=.Content-Security-Policy.[^>]*>", "", page.read_text("utf-8"))
    probe.write_text(text.replace("</body>", f"{STACKED}</body>", 1), encoding="utf-8")
    dom = chromium(tmp_path, f"--window-size={width},1200", "--dump-dom", probe.as_uri()).stdout.decode()
    boxes = np.array(json.loads(re.search(r"<title>(.*?)</title>", dom).group(1)))
    assert len(boxes) == len(RESULT.sets[0].frames)
    assert (np.ptp(boxes[:, 0]) < 1) == stacked
    if stacked:
        assert (boxes[1:, 2] >= boxes[:-1, 3]).all()
        assert (boxes[:, 1] - boxes[:, 0] > 0.8 * width).all()

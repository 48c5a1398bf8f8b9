"""Prints of a set, from files to files: what they show, their sizes, and what is told of them."""

import csv
import io
import json
from dataclasses import replace

import jsonschema
import numpy as np
import pytest
import tifffile
from PIL import Image

from setsolver.colour.lab import srgb_to_lab
from setsolver.domain.outcome import ToneRecord
from setsolver.output.toned import cut
from setsolver.render.save import load_profile
from setsolver.scaling import shrunk
from setsolver.usecases.finish_folder import load_finish
from setsolver.usecases.finish_tone import tone_of
from setsolver.usecases.schemas import SCHEMAS
from tests.catalog.profiles import DISPLAY_P3, rgb_profile
from tests.usecases.finishing import LOOK, PLAIN, catalog_of, drawing, frame, made, outcome_of, two_drawings


@pytest.fixture
def shoot(tmp_path):
    return two_drawings(tmp_path)


def test_prints_are_written_measured_and_told(shoot, tmp_path):
    document = made(shoot, tmp_path / "out")
    assert document.complete
    assert [p.file for p in document.prints] == ["01-1.tif", "02-2.tif"]
    for number, one in enumerate(document.prints, start=1):
        codes = tifffile.imread(tmp_path / "out" / one.file)
        assert codes.dtype == np.uint16
        assert codes.shape == (512, 768, 3)
        assert (one.number, one.width, one.height) == (number, 768, 512)
        assert one.ppi == pytest.approx(768 / 12 * 2.54, abs=0.01)
        assert one.warnings == ()
        for axis, slack in document.slack.model_dump().items():
            assert abs(getattr(one.tone, axis) - getattr(LOOK, axis)) <= slack + 1
    assert load_finish(tmp_path / "out") == document


@pytest.mark.parametrize(("vignette", "grain"), [(-0.9, 1.6), (0.5, 1.6)])
def test_vignette_and_grain_are_brought_to_the_look_and_measured_on_the_file(tmp_path, vignette, grain):
    folder = tmp_path / "catalog"
    names = catalog_of(folder, quality=95, subsampling=0)
    look = LOOK.model_copy(update={"vignette": vignette, "grain": grain})
    reach, slack = {"vignette": 1.5, "grain": 2}, {"black": 2, "white": 2, "vignette": 0.1, "grain": 0.2}
    tone = {"reach": reach, "slack": slack}
    outcome = outcome_of(folder, [frame(name, place) for place, name in enumerate(names)], look=look, tone=tone)
    document = made((folder, outcome), tmp_path / "out")
    assert document.complete
    for one in document.prints:
        assert one.warnings == ()
        assert one.tone.vignette == pytest.approx(vignette, abs=0.1 + 0.15)
        assert one.tone.grain == pytest.approx(grain, abs=0.2 + 0.3)
        assert abs(one.applied.vignette) > 0.05
        assert one.shift_px < 0.5


def test_a_falloff_beyond_reach_is_not_forced_and_said(tmp_path):
    folder = tmp_path / "catalog"
    names = catalog_of(folder, 1, quality=95)
    tone = {"reach": {"vignette": 0.3, "grain": 1}, "slack": {"vignette": 0.1, "grain": 5}}
    look = LOOK.model_copy(update={"vignette": -2.5})
    outcome = outcome_of(folder, [frame(names[0])], look=look, tone=tone)
    (one,) = made((folder, outcome), tmp_path / "out").prints
    assert one.applied.vignette == pytest.approx(-0.3)
    assert any("vignette misses the look's slack" in warning for warning in one.warnings)


def test_the_picture_is_the_levelled_crop(shoot, tmp_path):
    """Against the crop as the proof sheet cuts it, by OpenCV; tones differ, places do not."""
    document = made(shoot, tmp_path / "out")
    codes = tifffile.imread(tmp_path / "out" / document.prints[0].file)
    ours = srgb_to_lab(np.rint(codes / 257).astype(np.uint8))[..., 0]
    theirs = srgb_to_lab(cut(drawing(0), (0.1, 0.1, 0.8, 0.8), 1.0))[..., 0]
    assert theirs.shape == ours.shape
    here = np.corrcoef(ours[20:-20, 20:-20].ravel(), theirs[20:-20, 20:-20].ravel())[0, 1]
    assert here > 0.99
    for moved in [(1, 0), (-1, 0), (0, 1), (0, -1)]:
        there = np.roll(theirs, moved, (0, 1))
        assert np.corrcoef(ours[20:-20, 20:-20].ravel(), there[20:-20, 20:-20].ravel())[0, 1] < here


def test_the_document_keeps_to_its_schema(shoot, tmp_path):
    made(shoot, tmp_path / "out")
    document = json.loads((tmp_path / "out" / "finish.json").read_text())
    jsonschema.validate(document, SCHEMAS["finish.schema.json"]())
    assert (document["format"], document["version"]) == ("setsolver/finish", 1)


def test_the_list_for_the_lab_has_a_row_for_each_print(shoot, tmp_path):
    made(shoot, tmp_path / "out")
    rows = list(csv.DictReader((tmp_path / "out" / "lab.csv").read_text().splitlines()))
    assert [row["file"] for row in rows] == ["01-1.tif", "02-2.tif"]
    assert rows[0]["width_cm"] == "12.0"
    assert rows[0]["height_cm"] == "8.0"
    assert rows[0]["count"] == "1"


def test_the_list_for_the_lab_names_the_paper(shoot, tmp_path):
    made(shoot, tmp_path / "out", replace(PLAIN, paper="matt, 300 g"))
    rows = list(csv.DictReader(io.StringIO((tmp_path / "out" / "lab.csv").read_text())))
    assert [row["paper"] for row in rows] == ["matt, 300 g"] * 2


def test_a_lower_resolution_is_kept_to(shoot, tmp_path):
    document = made(shoot, tmp_path / "out", replace(PLAIN, ppi=100))
    assert document.prints[0].ppi == 100
    assert (document.prints[0].width, document.prints[0].height) == (472, 315)
    assert document.prints[0].notes == ()


def test_nothing_is_enlarged_and_it_is_said(shoot, tmp_path):
    document = made(shoot, tmp_path / "out", replace(PLAIN, ppi=600))
    assert document.prints[0].width == 768
    assert "nothing was enlarged" in document.prints[0].notes[0]


def test_bleed_and_border_lie_around_the_crop(shoot, tmp_path):
    plain = made(shoot, tmp_path / "plain")
    wide = made(shoot, tmp_path / "wide", replace(PLAIN, bleed_mm=3, border_mm=10)).prints[0]
    assert wide.bleed_mm == pytest.approx(3, abs=0.16)  # whole pixels, of 0.156 mm
    assert wide.border_mm == pytest.approx(10, abs=0.08)
    codes = tifffile.imread(tmp_path / "wide" / wide.file)
    border, bleed = 64, 20
    assert codes.shape == (512 + 2 * (border + bleed), 768 + 2 * (border + bleed), 3)
    assert (codes[:border] == 65535).all()
    inner = codes[border + bleed : -border - bleed, border + bleed : -border - bleed]
    assert np.abs(inner.astype(int) - tifffile.imread(tmp_path / "plain" / plain.prints[0].file)).max() < 2600
    assert wide.warnings == ()


def test_small_proofs_are_jpegs(shoot, tmp_path):
    document = made(shoot, tmp_path / "out", replace(PLAIN, format="jpeg", proof=300))
    with Image.open(tmp_path / "out" / document.prints[0].file) as image:
        assert image.format == "JPEG"
        assert image.size == (300, 200)


def test_mono_prints_have_no_colour(tmp_path):
    folder = tmp_path / "catalog"
    names = catalog_of(folder)
    outcome = outcome_of(folder, [frame(name, treatment="mono") for name in names], treatment="mono")
    document = made((folder, outcome), tmp_path / "out")
    codes = tifffile.imread(tmp_path / "out" / document.prints[0].file).astype(int)
    assert np.abs(codes - codes[..., :1]).max() <= 2
    assert document.prints[0].warnings == ()


def test_a_profile_of_the_paper_is_put_in_and_the_tone_still_holds(shoot, tmp_path):
    (tmp_path / "p3.icc").write_bytes(rgb_profile(DISPLAY_P3, 2.2))
    document = made(shoot, tmp_path / "out", replace(PLAIN, profile=load_profile(tmp_path / "p3.icc")))
    assert document.profile == "made"
    with tifffile.TiffFile(tmp_path / "out" / document.prints[0].file) as file:
        assert bytes(file.pages[0].tags["InterColorProfile"].value) == (tmp_path / "p3.icc").read_bytes()
    assert document.prints[0].warnings == ()


def test_a_look_that_cannot_be_reached_is_warned_of(tmp_path):
    folder = tmp_path / "catalog"
    names = catalog_of(folder, 1)
    save_flat = np.full((640, 960, 3), 128, np.uint8)
    Image.fromarray(save_flat).save(folder / names[0])
    document = made((folder, outcome_of(folder, [frame(names[0])])), tmp_path / "out")
    assert any("misses the look" in warning for warning in document.prints[0].warnings)


def test_a_fine_texture_is_measured_as_the_frame_was(tmp_path):
    """Its black point depends on how it is made small: a print measured another way than the frame missed by 3 L*."""
    folder = tmp_path / "catalog"
    folder.mkdir()
    grain = np.random.default_rng(0).normal(0, 40, (1024, 1536, 1))
    busy = np.clip(drawing(0, 1536, 1024) * 0.6 + 50 + grain, 0, 255).astype(np.uint8)
    Image.fromarray(busy).save(folder / "1.png")
    whole = frame(
        "1.png",
        crop=(0.0, 0.0, 1.0, 1.0),
        level_degrees=0.0,
        width=1536,
        height=1024,
        crop_width=1536,
        crop_height=1024,
    )
    tone, look = tone_of(shrunk(busy, 1280)), ToneRecord(black=30, mid=50, white=74, cast_a=0, cast_b=0)
    assert abs(tone.black - look.black) < 15
    one = made((folder, outcome_of(folder, [whole], look=look)), tmp_path / "out").prints[0]
    assert max(abs(value) for value in one.beyond.model_dump().values()) < 0.3


def test_where_the_picture_lies_is_measured_on_the_file(shoot, tmp_path):
    for one in made(shoot, tmp_path / "out").prints:
        assert one.shift_px < 0.25


def test_pictures_for_the_web_are_small_and_srgb(shoot, tmp_path):
    document = made(shoot, tmp_path / "out", replace(PLAIN, web=200, border_mm=9))
    assert document.prints[0].web == "web/01-1.jpg"
    with Image.open(tmp_path / "out" / "web" / "01-1.jpg") as image:
        assert image.size == (200, 133)


def test_a_soft_proof_says_and_shows_what_the_paper_cannot(shoot, tmp_path):
    (tmp_path / "pale.icc").write_bytes(rgb_profile(((0.40, 0.34), (0.31, 0.40), (0.25, 0.24)), 2.2))
    one = made(shoot, tmp_path / "out", replace(PLAIN, profile=load_profile(tmp_path / "pale.icc"))).prints[0]
    assert one.soft_proof.outside > 0.02
    assert one.soft_proof.worst > one.soft_proof.mean > 0
    assert (tmp_path / "out" / one.soft_proof.picture).is_file()

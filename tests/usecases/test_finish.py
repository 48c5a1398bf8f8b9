"""Prints of a set, from files to files."""

import csv
import hashlib
import io
import json
import os
import secrets
import shutil
import threading
import time
from dataclasses import replace
from pathlib import Path

import jsonschema
import numpy as np
import pytest
import tifffile
from PIL import Image

from setsolver.catalog.records import Known
from setsolver.colour.lab import srgb_to_lab
from setsolver.domain.finish import Finish
from setsolver.domain.outcome import Placed, ToneRecord
from setsolver.errors import BadInput
from setsolver.output.toned import cut
from setsolver.render.save import load_profile
from setsolver.scaling import shrunk
from setsolver.usecases import finish as module
from setsolver.usecases.finish import finish
from setsolver.usecases.finish_folder import load_finish, write_finish
from setsolver.usecases.finish_metadata import Sidecars, _new_beside
from setsolver.usecases.finish_size import Wish
from setsolver.usecases.finish_tone import tone_of
from setsolver.usecases.schemas import SCHEMAS
from setsolver.writing import write_new
from tests.catalog.pictures import dng, exif
from tests.catalog.profiles import DISPLAY_P3, rgb_profile
from tests.usecases.finishing import LOOK, catalog_of, drawing, frame, outcome_of

DATA = Path(__file__).parents[1] / "data"
PLAIN = Wish(load_profile(None))


@pytest.fixture
def shoot(tmp_path):
    folder = tmp_path / "catalog"
    names = catalog_of(folder, quality=95, subsampling=0)
    return folder, outcome_of(folder, [frame(name, place) for place, name in enumerate(names)])


def made(shoot, out, wish=PLAIN, **options):
    folder, outcome = shoot
    return finish(outcome, outcome.sets[0], folder, out, wish, **options)


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


def test_no_index_is_made_where_an_outcome_points(shoot, tmp_path):
    before = sorted(path.name for path in shoot[0].iterdir())
    assert made(shoot, tmp_path / "out").complete
    assert sorted(path.name for path in shoot[0].iterdir()) == before


def test_a_frame_that_crashes_its_decoder_costs_its_own_print_alone(shoot, tmp_path, monkeypatch):
    real = module.packet_for

    def packet_for(about, *given):
        packet, kills = real(about, *given), about.file.name == "2.jpg"

        def or_not(record):
            if kills:
                os.kill(os.getpid(), 9)
            return packet(record)

        return or_not

    monkeypatch.setattr(module, "packet_for", packet_for)
    document = made(shoot, tmp_path / "out", apart=True, workers=1)
    assert [one.file for one in document.prints] == ["01-1.tif"]
    assert [(one.number, one.source) for one in document.refused] == [(2, "2.jpg")]
    assert "crashes the decoder" in document.refused[0].why
    assert document.prints[0].warnings == ()


def test_originals_are_left_alone(shoot, tmp_path):
    folder = shoot[0]
    before = {p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in folder.iterdir() if p.is_file()}
    made(shoot, tmp_path / "out")
    assert {p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in folder.iterdir() if p.is_file()} == before


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


def test_a_frame_turned_by_the_user_s_word_is_printed_turned(tmp_path, monkeypatch):
    folder = tmp_path / "catalog"
    catalog_of(folder, 1)
    Image.fromarray(np.rot90(drawing(0))).save(folder / "1.png")  # a quarter to the left: 90 degrees clockwise mend it
    monkeypatch.setattr(module, "_recorded", lambda *_: ({"1.png": Known(1, 1, "", "", turn=90)}, {}))
    turned = made((folder, outcome_of(folder, [frame("1.png")])), tmp_path / "a").prints[0]
    Image.fromarray(drawing(0)).save(folder / "1.png")
    monkeypatch.undo()
    upright = made((folder, outcome_of(folder, [frame("1.png")])), tmp_path / "b").prints[0]
    assert turned.turn == 90
    one, other = (
        tifffile.imread(tmp_path / name / made_one.file) for name, made_one in (("a", turned), ("b", upright))
    )
    assert np.abs(one.astype(int) - other).max() <= 1


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


def test_heic_is_printed_upright_through_libheif(tmp_path):
    """The jar of tests/data, as the scan sees it: 96 x 128, clay at the left, sky at the right."""
    folder = tmp_path / "catalog"
    folder.mkdir()
    shutil.copy(DATA / "metadata" / "jar.heic", folder / "jar.heic")
    whole = frame(
        "jar.heic",
        crop=(0.0, 0.0, 1.0, 1.0),
        level_degrees=0.0,
        width=96,
        height=128,
        crop_width=96,
        crop_height=128,
        position=Placed(x_cm=0, y_cm=0, width_cm=6, height_cm=8),
    )
    one = made((folder, outcome_of(folder, [whole])), tmp_path / "out").prints[0]
    codes = tifffile.imread(tmp_path / "out" / one.file).astype(int)
    assert codes.shape == (128, 96, 3)
    assert (codes[[5, -5], -5, 2] > codes[[5, -5], -5, 0]).all()  # a blue sky
    assert (codes[[5, -5], 5, 0] > codes[[5, -5], 5, 2]).all()  # brown clay


def test_raw_is_developed_and_brought_to_the_preview_that_was_judged(tmp_path):
    folder = tmp_path / "catalog"
    folder.mkdir()
    preview = io.BytesIO()
    ramp = np.indices((192, 256)).sum(0) / 446  # the samples of the sensor rise the same way
    bright = np.repeat((60 + 190 * ramp**0.7)[..., None], 3, axis=2).astype(np.uint8)
    Image.fromarray(bright).save(preview, "JPEG", quality=97, subsampling=0)
    (folder / "kiln.dng").write_bytes(dng(preview.getvalue(), (256, 192)))
    look = ToneRecord(black=30, mid=76, white=97, cast_a=0, cast_b=0)  # about that of the preview
    whole = frame(
        "kiln.dng",
        crop=(0.0, 0.0, 1.0, 1.0),
        level_degrees=0.0,
        width=256,
        height=192,
        crop_width=256,
        crop_height=192,
        tone=look,
        position=Placed(x_cm=0, y_cm=0, width_cm=8, height_cm=6),
    )
    one = made((folder, outcome_of(folder, [whole], look=look)), tmp_path / "out").prints[0]
    assert (one.width, one.height) == (256, 192)
    assert any("preview that was judged" in note for note in one.notes)
    assert one.warnings == ()


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


def test_sidecars_are_written_into_a_folder_and_originals_keep_theirs(shoot, tmp_path):
    folder = shoot[0]
    shutil.copy(DATA / "metadata" / "example_packet.xmp", folder / "1.xmp")
    before = (folder / "1.xmp").read_bytes()
    document = made(shoot, tmp_path / "out", sidecars=Sidecars(tmp_path / "side"))
    assert (folder / "1.xmp").read_bytes() == before
    assert not (folder / "2.xmp").exists()
    assert [Path(p.sidecar).name for p in document.prints] == ["1.xmp", "2.xmp"]
    merged = (tmp_path / "side" / "1.xmp").read_bytes()
    assert b"wall set 1" in merged  # what was there
    assert b"setsolver-hall" in merged  # and ours


def test_sidecars_beside_originals_are_merged(shoot, tmp_path):
    folder = shoot[0]
    shutil.copy(DATA / "metadata" / "example_packet.xmp", folder / "1.jpg.xmp")
    (folder / "2.dng").write_bytes(b"a RAW of the same name")
    made(shoot, tmp_path / "out", sidecars=Sidecars(beside=True))
    assert b"wall set 1" in (folder / "1.jpg.xmp").read_bytes()
    assert b"setsolver-hall" in (folder / "1.jpg.xmp").read_bytes()
    assert not (folder / "1.xmp").exists()
    assert (folder / "2.jpg.xmp").is_file()  # 2.xmp could mean either file


def test_the_name_of_a_new_sidecar_means_one_file_only_whatever_letters_it_has(tmp_path):
    """Brackets, stars and question marks are letters of a name here, not a pattern of other files."""
    for name in ("a[1].jpg", "a[1].dng", "b[2].jpg", "b2.jpg", "c.jpg"):
        (tmp_path / name).write_bytes(b"")
    named = {name: _new_beside(tmp_path / name).name for name in ("a[1].jpg", "b[2].jpg", "b2.jpg", "c.jpg")}
    assert named == {"a[1].jpg": "a[1].jpg.xmp", "b[2].jpg": "b[2].xmp", "b2.jpg": "b2.xmp", "c.jpg": "c.xmp"}


def test_a_sidecar_that_is_no_xml_is_left_alone_and_said(shoot, tmp_path):
    (shoot[0] / "1.xmp").write_bytes(b"a letter")
    document = made(shoot, tmp_path / "out", sidecars=Sidecars(beside=True))
    assert (shoot[0] / "1.xmp").read_bytes() == b"a letter"
    assert "no XML" in document.notes[0]
    assert document.prints[0].sidecar is None


def test_a_print_carries_its_maker_its_set_and_its_place(tmp_path):
    folder = tmp_path / "catalog"
    block = exif()
    block[0x013B], block[0x8298] = "Own Maker", "(c) Own Maker"
    names = catalog_of(folder, 1, exif=block)
    one = made((folder, outcome_of(folder, [frame(names[0], time="2026-05-01T17:03:00")])), tmp_path / "out").prints[0]
    with tifffile.TiffFile(tmp_path / "out" / one.file) as file:
        packet = bytes(file.pages[0].tags["XMP"].value)
    for said in (b"Own Maker", b"hall, 1 of 1", b"2026-05-01T17:03:00", b"1.jpg"):
        assert said in packet


# what goes wrong


def test_an_original_that_is_gone_costs_its_own_print_alone(shoot, tmp_path):
    (shoot[0] / "1.jpg").unlink()
    document = made(shoot, tmp_path / "out")
    assert not document.complete
    assert [p.file for p in document.prints] == ["02-2.tif"]
    assert [(r.number, r.source) for r in document.refused] == [(1, "1.jpg")]
    assert "gone" in document.refused[0].why


def test_an_original_of_another_size_is_refused(shoot, tmp_path):
    Image.fromarray(drawing(0, 900, 600)).save(shoot[0] / "1.jpg")
    document = made(shoot, tmp_path / "out")
    assert "900 x 600" in document.refused[0].why


def test_a_truncated_original_is_refused(shoot, tmp_path):
    data = (shoot[0] / "1.jpg").read_bytes()
    (shoot[0] / "1.jpg").write_bytes(data[: len(data) // 2])
    document = made(shoot, tmp_path / "out")
    assert len(document.refused) == 1
    assert sorted(p.name for p in (tmp_path / "out").iterdir()) == [
        "02-2.tif",
        "finish.json",
        "hanging-plan.pdf",
        "hanging-plan.svg",
        "lab.csv",
    ]


def test_an_original_that_differs_from_what_was_measured_is_refused(shoot, tmp_path, monkeypatch):
    digests = {"1.jpg": b"another", "2.jpg": module.content_hash(shoot[0] / "2.jpg")}
    known = {path: Known(1, 1, "", "", digest) for path, digest in digests.items()}
    monkeypatch.setattr(module, "_recorded", lambda *_: (known, {}))
    document = made(shoot, tmp_path / "out")
    assert [r.source for r in document.refused] == ["1.jpg"]
    assert "changed since it was measured" in document.refused[0].why


@pytest.mark.parametrize("inside", [".", "prints"])
def test_a_folder_in_the_catalog_is_refused(shoot, inside):
    with pytest.raises(BadInput, match="lies in the catalog"):
        made(shoot, shoot[0] / inside)


def test_a_folder_that_holds_other_files_is_left_alone(shoot, tmp_path):
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "letter.txt").write_text("dear")
    with pytest.raises(BadInput, match="holds other files"):
        made(shoot, tmp_path / "out")
    assert [p.name for p in (tmp_path / "out").iterdir()] == ["letter.txt"]


def test_a_file_as_a_folder_is_refused(shoot, tmp_path):
    (tmp_path / "out").write_text("")
    with pytest.raises(BadInput, match="is a file"):
        made(shoot, tmp_path / "out")


def test_a_finish_is_taken_up_again(shoot, tmp_path):
    first = made(shoot, tmp_path / "out")
    kept = tmp_path / "out" / first.prints[0].file
    before = kept.stat().st_mtime_ns
    (tmp_path / "out" / first.prints[1].file).unlink()
    again = made(shoot, tmp_path / "out")
    assert kept.stat().st_mtime_ns == before
    assert again.prints[0] == first.prints[0]
    assert again.prints[1].tone == first.prints[1].tone
    assert again.complete


def test_a_file_that_was_put_in_the_way_is_not_overwritten(shoot, tmp_path):
    first = made(shoot, tmp_path / "out")
    path = tmp_path / "out" / first.prints[0].file
    path.write_bytes(b"a letter")
    with pytest.raises(BadInput, match="not overwritten"):
        made(shoot, tmp_path / "out")
    assert path.read_bytes() == b"a letter"


def test_a_print_that_a_killed_finish_left_makes_way(shoot, tmp_path):
    """Killed after a file got its name and before it was written down: the file is ours by its packet alone."""
    whole = made(shoot, tmp_path / "out")
    write_finish(tmp_path / "out", whole.model_copy(update={"prints": whole.prints[:1], "complete": False}))
    again = made(shoot, tmp_path / "out")
    assert again.complete
    assert again.prints[0] == whole.prints[0]


def test_a_print_that_somebody_retouched_is_not_overwritten(shoot, tmp_path):
    whole = made(shoot, tmp_path / "out")
    path = tmp_path / "out" / whole.prints[0].file
    path.write_bytes(path.read_bytes() + b"retouched")  # its packet is still there
    before = path.read_bytes()
    with pytest.raises(BadInput, match="not overwritten"):
        made(shoot, tmp_path / "out")
    assert path.read_bytes() == before


def test_prints_of_another_job_are_left_alone(shoot, tmp_path):
    made(shoot, tmp_path / "out")
    with pytest.raises(BadInput, match="another set or with other options"):
        made(shoot, tmp_path / "out", replace(PLAIN, ppi=100))


def test_another_document_is_left_alone(shoot, tmp_path):
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "finish.json").write_text("{}")
    with pytest.raises(BadInput, match="no document that this version reads"):
        made(shoot, tmp_path / "out")


def test_a_set_of_another_version_is_refused_before_anything_is_written(shoot, tmp_path):
    folder, outcome = shoot
    later = outcome.model_copy(update={"brief": {**outcome.brief, "hung": "upside down"}})
    with pytest.raises(BadInput, match=r"none that this version reads .*make it again"):
        made((folder, later), tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_a_file_that_grew_is_refused(shoot, tmp_path, monkeypatch):
    known = {name: Known(1, 1, "", "", module.content_hash(shoot[0] / name)) for name in ("1.jpg", "2.jpg")}
    monkeypatch.setattr(module, "_recorded", lambda *_: (known, {}))
    with (shoot[0] / "2.jpg").open("ab") as stream:
        stream.write(b"more")
    document = made(shoot, tmp_path / "out")
    assert [r.source for r in document.refused] == ["2.jpg"]


def test_a_full_disk_leaves_what_is_whole_and_no_part(shoot, tmp_path, monkeypatch):
    from setsolver.usecases import finish_file  # noqa: PLC0415 - to break one step of it

    real, calls, lock = finish_file.save, [], threading.Lock()

    def save(codes, path, paper):
        with lock:
            calls.append(path)
            full = len(calls) == 2
        if full:
            path.write_bytes(b"II*\0 half")
            raise OSError(28, "No space left on device")
        real(codes, path, paper)

    monkeypatch.setattr(finish_file, "save", save)
    with pytest.raises(BadInput, match="No space left"):
        made(shoot, tmp_path / "out", workers=1)
    assert sorted(p.name for p in (tmp_path / "out").iterdir()) == ["01-1.tif", "finish.json"]
    monkeypatch.setattr(finish_file, "save", real)
    assert made(shoot, tmp_path / "out").complete


def test_nobody_sweeps_away_a_print_that_is_being_made(shoot, tmp_path, monkeypatch):
    """Writing the document of one print sweeps what killed processes left; what is held by this one is not that."""
    from setsolver.usecases import finish_file  # noqa: PLC0415 - to wait in one step of it

    real = finish_file.read_back

    def slowly(path, *given):
        old = time.time() - 60
        os.utime(path, (old, old))
        write_new(tmp_path / "out" / f"{secrets.token_hex(4)}.txt", b"swept")
        return real(path, *given)

    monkeypatch.setattr(finish_file, "read_back", slowly)
    assert made(shoot, tmp_path / "out", workers=2).complete


def test_a_picture_for_the_web_of_somebody_else_is_left_alone(shoot, tmp_path):
    first = made(shoot, tmp_path / "out", replace(PLAIN, web=200))
    (tmp_path / "out" / first.prints[0].file).unlink()
    (tmp_path / "out" / first.prints[1].file).unlink()
    (tmp_path / "out" / "web" / "02-2.jpg").write_bytes(b"a letter")
    with pytest.raises(BadInput, match="not overwritten"):
        made(shoot, tmp_path / "out", replace(PLAIN, web=200))
    assert (tmp_path / "out" / "web" / "02-2.jpg").read_bytes() == b"a letter"


def test_a_stop_leaves_whole_files(shoot, tmp_path):
    def told(_what, done, _total):
        if done == 1:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        made(shoot, tmp_path / "out", workers=1, progress=told)
    names = sorted(p.name for p in (tmp_path / "out").iterdir())
    assert names in (["01-1.tif", "finish.json"], ["01-1.tif", "02-2.tif", "finish.json"])
    document = load_finish(tmp_path / "out")
    assert isinstance(document, Finish)
    assert not document.complete
    assert made(shoot, tmp_path / "out").complete

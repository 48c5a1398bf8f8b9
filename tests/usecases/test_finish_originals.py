"""Originals that a finish reads: kinds, turns, and those that are not as they were measured."""

import hashlib
import io
import os
import shutil
from pathlib import Path

import numpy as np
import pytest
import tifffile
from PIL import Image

from setsolver.catalog.records import Known
from setsolver.domain.outcome import Placed, ToneRecord
from setsolver.usecases import finish as module
from tests.catalog.pictures import dng
from tests.usecases.finishing import catalog_of, drawing, frame, made, outcome_of, two_drawings

DATA = Path(__file__).parents[1] / "data"


@pytest.fixture
def shoot(tmp_path):
    return two_drawings(tmp_path)


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


def test_what_no_index_can_tell_is_said(shoot, tmp_path, monkeypatch):
    """Without an index, a file of the same size under the same name could be another: that is not passed over."""
    (note,) = made(shoot, tmp_path / "out").notes
    assert note.startswith("no index tells what 1.jpg, 2.jpg held when the set was made: another file")
    known = {name: Known(1, 1, "", "", module.content_hash(shoot[0] / name)) for name in ("1.jpg", "2.jpg")}
    monkeypatch.setattr(module, "_recorded", lambda *_: (known, {}))
    assert made(shoot, tmp_path / "again").notes == ()


def test_a_file_that_grew_is_refused(shoot, tmp_path, monkeypatch):
    known = {name: Known(1, 1, "", "", module.content_hash(shoot[0] / name)) for name in ("1.jpg", "2.jpg")}
    monkeypatch.setattr(module, "_recorded", lambda *_: (known, {}))
    with (shoot[0] / "2.jpg").open("ab") as stream:
        stream.write(b"more")
    document = made(shoot, tmp_path / "out")
    assert [r.source for r in document.refused] == ["2.jpg"]

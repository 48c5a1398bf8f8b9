"""Where faces look, against words by eye on photographs that are not part of the project."""

import csv
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageOps

from setsolver.features.edges import BlurMap
from setsolver.features.faces import find_faces
from setsolver.features.views import make_views

ROOT = Path(__file__).parents[2]
PHOTOGRAPHS = ROOT.parent / "shared" / "photos" / "frames"
WORDS = ROOT / "benchmarks" / "features" / "facing.csv"


@pytest.mark.slow
@pytest.mark.skipif(not PHOTOGRAPHS.is_dir(), reason="the photographs are not part of the project and are not here")
def test_most_faces_look_where_a_reader_says_and_none_the_other_way(models):
    with WORDS.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    said = []
    for name in sorted({row["frame"] for row in rows}):
        with Image.open(PHOTOGRAPHS / f"{name}.jpg") as opened:
            views = make_views(np.ascontiguousarray(ImageOps.exif_transpose(opened).convert("RGB")))
        faces = find_faces(views, models.faces, BlurMap(views.grey))
        for row in (row for row in rows if row["frame"] == name):
            at = float(row["x"]), float(row["y"])
            said += [
                (row["facing"], face.facing)
                for face in faces
                if np.hypot(*np.subtract(face.box.centre, at)) < face.box.w / 2
            ][:1]
    assert len(said) > 0.9 * len(rows)
    assert np.mean([word == found for word, found in said]) > 0.9
    assert ("left", "right") not in said
    assert ("right", "left") not in said

"""What grouping is told of cameras and light."""

from dataclasses import replace
from datetime import timedelta
from itertools import combinations

import numpy as np
import pytest

from setsolver.catalog import neighbours
from setsolver.catalog.records import Known, Measured
from setsolver.catalog.store import Store
from setsolver.domain.frame import Shot
from setsolver.domain.measures import Clip
from setsolver.features.likeness import SAME_PICTURE, signatures
from setsolver.usecases.grouping import GROUPING_VERSION, regroup
from setsolver.usecases.sighting import sighting_of
from tests.rules.builders import START, make_frame

UNLIKE = (0, 2**64 - 1, 2**32 - 1, 2**64 - 2**32)
"""Hashes that differ in half of their bits and more: such frames are no near-duplicates, whatever else is alike."""


def seen(*shots):
    return sighting_of((("", shot) for shot in shots), np.zeros((len(shots), 4), np.float32))


def test_two_bodies_of_one_model_are_two_cameras():
    found = seen(*(Shot(camera="Clay One", body=body) for body in ("0042", "0077", "0042")))
    assert found.camera.tolist() == [0, 1, 0]
    assert found.cameras == ("Clay One no. 0042", "Clay One no. 0077")


def test_one_body_keeps_the_plain_name():
    found = seen(Shot(camera="Clay One", body="0042"), Shot(camera="Clay Two", body="0042"))
    assert found.cameras == ("Clay One", "Clay Two")


def test_a_frame_without_serial_number_beside_one_with_it_is_another_camera():
    found = seen(Shot(camera="Clay One", body="0042"), Shot(camera="Clay One"), Shot())
    assert found.camera.tolist() == [0, 1, -1]


def test_light_is_the_exposure_value_at_iso_100():
    # f/16, 1/125 s, ISO 100: EV 15, full sun (ISO 2720:1974; APEX, Exif 2.32 annex C: Av 8 + Tv 6.97)
    found = seen(Shot(aperture=16.0, exposure_s=1 / 125, iso=100.0), Shot(aperture=16.0))
    assert found.light[0] == pytest.approx(15, abs=0.05)
    assert np.isnan(found.light[1])


def test_an_index_is_grouped_as_its_frames_are(tmp_path, monkeypatch):
    monkeypatch.setattr(neighbours, "_FEW", 100)
    measures = [make_frame(n, place=(n % 40, 0)).measures for n in range(300)]
    with Store(tmp_path / "index.db", "1") as store:
        for n in (*range(1, 300, 2), *range(0, 300, 2)):
            shot = Shot(time=START + timedelta(minutes=n), camera="Clay One")
            store.write([Measured(f"{n:03d}.jpg", Known(1, 1, "", "1", b"x"), 60, 40, shot, "", measures[n])])
        told = []
        assert regroup(store, lambda *now: told.append(now)) == ()
        pairs, frames = store.pairs(), list(store.frames())
    vectors = signatures(np.stack([m.embedding for m in measures]), np.array([m.phash for m in measures], np.uint64))
    alike = vectors @ vectors.T >= SAME_PICTURE
    assert pairs == tuple((a, b) for a, b in combinations(range(300), 2) if alike[a, b])
    assert len(pairs) > 100
    assert all(frames[a].moment == frames[b].moment for a, b in pairs)
    assert [now for now in told if now[1] == now[2]] == [("grouping", 300, 300), ("scenes", 300, 300)]


def test_what_clip_says_of_places_tells_scenes_where_it_has_looked(tmp_path):
    """Four frames alike to one network, five minutes apart; of two places, as the other one says."""
    measures = make_frame(0, place=(3, 0)).measures
    drawn = [np.random.default_rng(1).normal(size=size).astype(np.float16) for size in (512, 768, 768)]
    here, there = Clip(*drawn), Clip(*(-part for part in drawn))
    scenes = {}
    for name, clips in {"quick": (None,) * 4, "full": (here, there, here, there)}.items():
        with Store(tmp_path / f"{name}.db", "1") as store:
            for n, clip in enumerate(clips):
                shot = Shot(time=START + timedelta(minutes=5 * n))
                look = replace(measures, clip=clip, phash=np.uint64(UNLIKE[n]))
                store.write([Measured(f"{n}.jpg", Known(1, 1, "", "1", b"x"), 60, 40, shot, "", look)])
            regroup(store, lambda *_: None)
            scenes[name] = [frame.scene for frame in store.frames()]
    assert scenes == {"quick": [0, 0, 0, 0], "full": [0, 1, 0, 1]}


def test_offsets_count_only_where_every_time_has_one():
    noon = Shot(time=START, utc_offset=60)
    later = replace(noon, utc_offset=0)
    assert np.diff(seen(noon, later, Shot()).instant)[0] == 3600
    assert np.diff(seen(noon, later, replace(noon, utc_offset=None)).instant).tolist() == [0, 0]


def test_another_bar_for_the_same_picture_needs_another_version():
    assert (GROUPING_VERSION, SAME_PICTURE) == ("6", 0.65)

"""The files of the demo catalog are what truth.json says, and their EXIF tells the truth (tags: Exif 2.32)."""

import math
from collections import Counter

import pytest
from PIL import Image


@pytest.fixture(scope="module")
def opened(demo, known):
    pictures = {}
    for path in known:
        with Image.open(demo / path) as picture:
            pictures[path] = (picture.size, picture.getexif(), picture.getexif().get_ifd(0x8769))
    return pictures


def test_every_file_has_its_truth_and_every_truth_its_file(demo, known):
    assert {str(file.relative_to(demo)).replace("\\", "/") for file in demo.glob("[0-9]*/*.jpg")} == set(known)


def test_count_and_weight(demo, known):
    assert 72 <= len(known) <= 96
    assert sum((demo / path).stat().st_size for path in known) <= 22e6


def test_sizes_and_both_orientations(opened, known):
    sizes = [size for size, _, _ in opened.values()]
    assert min(map(max, sizes)) >= 1500
    assert max(map(max, sizes)) == 6000
    assert {w > h for w, h in sizes} == {True, False}
    assert all(list(opened[path][0]) == frame["size"] for path, frame in known.items())


def test_exif_says_what_truth_says(opened, known):
    for path, frame in known.items():
        _, _, tags = opened[path]
        assert tags[0x8827] == frame["iso"]
        assert float(tags[0x829D]) == pytest.approx(frame["f_number"])
        assert float(tags[0x829A]) == pytest.approx(frame["seconds"][0] / frame["seconds"][1])
        assert float(tags[0x9206]) == pytest.approx(frame["focus_metres"], abs=0.006)
        assert tags[0xA405] * frame["framed_metres"] == pytest.approx(36 * frame["focus_metres"], rel=0.03)


def test_times_run_with_the_names_and_have_fractions(opened):
    times = [tags[0x9003] + "." + tags[0x9291] for _, (_, _, tags) in sorted(opened.items())]
    assert times == sorted(times)
    assert all(tags[0x9011] == "+02:00" for _, _, tags in opened.values())


def test_shutter_and_iso_follow_the_exposure_shift_within_a_burst(known):
    """EV is the base-2 logarithm of light gathered: shutter * ISO / N**2."""
    for burst in {frame["burst"] for frame in known.values()} - {None}:
        gathered = {}
        for frame in (frame for frame in known.values() if frame["burst"] == burst):
            light = frame["seconds"][0] / frame["seconds"][1] * frame["iso"] / frame["f_number"] ** 2
            gathered.setdefault(frame["shot"], []).append(math.log2(light) - frame["exposure_ev"])
        assert all(max(steady) - min(steady) < 0.04 for steady in gathered.values())


def test_scale_follows_from_the_thresholds(known, truth):
    wide, close = truth["scale"]["wide_from_metres"], truth["scale"]["close_to_metres"]
    for frame in known.values():
        framed = frame["framed_metres"]
        assert frame["scale"] == ("wide" if framed >= wide else "close" if framed <= close else "medium")


def test_every_place_is_told_from_afar_and_from_near(known):
    for place in {frame["place"] for frame in known.values()}:
        assert {f["scale"] for f in known.values() if f["place"] == place} == {"wide", "medium", "close"}, place


def test_what_the_shoot_must_hold(known):
    bursts = Counter(frame["burst"] for frame in known.values() if frame["burst"])
    assert len(bursts) >= 6
    assert set(bursts.values()) <= {3, 4, 5}
    faults = Counter(fault for frame in known.values() for fault in frame["faults"])
    assert faults["clashes with every look"] == 2
    assert {"soft", "noisy", "warm cast", "cool cast"} <= set(faults)
    rolls = [abs(frame["roll_degrees"]) for frame in known.values() if frame["horizon_in_view"]]
    assert sum(0.7 <= roll <= 4.0 for roll in rolls) >= 4
    assert len({frame["shot"] for frame in known.values() if frame["near_duplicate"]}) == 2

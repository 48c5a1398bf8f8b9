"""What chapters are called: by their folder, else by their day, with the time of day where days share it."""

import pytest

from setsolver.usecases.album_chapters import _hour, _title, datetime

MAY = "2026-05-02T09:10:00"


@pytest.mark.parametrize(
    ("paths", "times", "alone", "title"),
    [
        (["1-morning/a.jpg", "1-morning/b.jpg"], [MAY], True, "Morning"),
        (["kiln_firing/a.jpg"], [], True, "Kiln firing"),
        (["2026/a.jpg"], [MAY], True, "2026"),
        (["a.jpg", "b.jpg"], [MAY], True, "2 May 2026"),
        (["one/a.jpg", "two/b.jpg"], [MAY], False, "2 May 2026, morning"),
        (["a.jpg"], [MAY, "2026-05-04T08:00:00"], True, "2 May to 4 May 2026"),
        (["a.jpg"], ["2025-12-31T23:00:00", "2026-01-01T01:00:00"], True, "31 December 2025 to January 2026"),
        (["a.jpg", "b.jpg"], [], True, "Chapter 3"),
    ],
)
def test_a_chapter_is_called_by_its_folder_or_its_day(paths, times, alone, title):
    assert _title(paths, times, 2, alone=alone) == title


@pytest.mark.parametrize(
    ("hour", "word"),
    [
        (0, "night"),
        (4, "night"),
        (5, "morning"),
        (11, "morning"),
        (12, "afternoon"),
        (16, "afternoon"),
        (17, "evening"),
        (21, "evening"),
        (22, "night"),
        (23, "night"),
    ],
)
def test_a_time_of_day_is_a_word(hour, word):
    assert _hour(datetime(2026, 5, 2, hour)) == word

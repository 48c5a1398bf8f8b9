"""Paper sizes against their standards."""

import csv
from pathlib import Path

import pytest

from setsolver.errors import BadInput
from setsolver.output.hanging.papers import PAPERS, paper_named

SIZES = Path(__file__).parents[2] / "data" / "print" / "print_sizes.csv"


def test_a4_is_that_of_iso_216():
    # tests/data/print/print_sizes.csv: ISO 216:2007
    rows = csv.DictReader(line for line in SIZES.read_text("utf-8").splitlines() if not line.startswith("#"))
    a4 = next(row for row in rows if row["name"] == "A4")
    assert PAPERS["A4"][1:] == (float(a4["short_mm"]), float(a4["long_mm"]))


def test_letter_is_size_a_of_y14_1():
    # ANSI/ASME Y14.1, size A: 8.5 by 11 inches (from memory)
    assert PAPERS["Letter"][1:] == pytest.approx((8.5 * 25.4, 11 * 25.4))


def test_other_paper_is_refused():
    with pytest.raises(BadInput, match='paper "A5" is not known; take A4 or Letter'):
        paper_named("A5")

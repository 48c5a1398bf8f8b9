"""Scans of made-up shoots by a fake measuring, for the tests beside this file."""

from pathlib import Path

from setsolver.usecases.scan import scan
from tests.catalog import fakes
from tests.catalog.pictures import save, scene

ROOT = Path(__file__).parents[2]
"""The top of this repository."""


def shoot(folder, count=3):
    for number in range(count):
        save(folder / f"frame-{number:03d}.png", scene(64, 48, seed=number))
    return folder


def run(folder, **options):
    return scan(folder, **({"workers": 0, "factory": fakes.measurer} | options))


def counts(report):
    return report.new, report.changed, report.unchanged, report.removed

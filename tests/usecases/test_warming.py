"""Warming ends, and what it leaves is a solver that answers."""

from setsolver.usecases.warming import Warming


def test_warming_ends_ready():
    warming = Warming()
    warming.wait()
    assert warming.ready

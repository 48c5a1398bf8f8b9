"""A pytest plugin: the same examples of property tests for every mutant, nothing made smaller, quick tests first."""

import pytest
from hypothesis import HealthCheck, Phase, settings

TOOK: dict[str, float] = {}
"""Seconds of each test, all its cases together, as the map tells them. One that it does not know counts as quick."""

settings.register_profile(
    "steady",
    derandomize=True,
    database=None,
    deadline=None,
    phases=(Phase.explicit, Phase.generate),
    suppress_health_check=list(HealthCheck),
)
settings.load_profile("steady")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    items.sort(key=lambda one: TOOK.get(one.nodeid.partition("[")[0], 0.0))

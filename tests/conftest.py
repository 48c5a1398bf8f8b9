"""Property tests on every machine: no example is failed for its time, which a busy machine decides (see benchmarks).

Nor is a test failed because chance drew mostly problems without a set, of which it asks nothing.
"""

from hypothesis import HealthCheck, settings

settings.register_profile(
    "untimed", deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)
settings.load_profile("untimed")

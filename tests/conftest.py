"""Property tests on every machine: no example is failed for its time, which a busy machine decides (see benchmarks)."""

from hypothesis import HealthCheck, settings

settings.register_profile("untimed", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("untimed")

"""Property tests on every machine: no example is failed for its time, which a busy machine decides (see benchmarks)."""

from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")

"""A pytest plugin: examples of property tests are the same for every mutant, and failures are not made smaller."""

from hypothesis import HealthCheck, Phase, settings

settings.register_profile(
    "steady",
    derandomize=True,
    database=None,
    deadline=None,
    phases=(Phase.explicit, Phase.generate),
    suppress_health_check=list(HealthCheck),
)
settings.load_profile("steady")

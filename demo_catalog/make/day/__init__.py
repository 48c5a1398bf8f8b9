"""The shoot as it went, hour by hour."""

from demo_catalog.make.takes import Take

from . import afternoon, evening, morning

PARTS: dict[str, list[Take]] = {"1-morning": morning.TAKES, "2-afternoon": afternoon.TAKES, "3-evening": evening.TAKES}

"""Best sets of photographs: measured once, solved under written rules, proven, explained in points."""

__version__ = "0.1.0"

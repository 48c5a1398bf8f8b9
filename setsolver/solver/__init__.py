"""Exact search for the best set. Knows plain arrays only."""

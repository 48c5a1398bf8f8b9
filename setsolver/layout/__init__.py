"""Geometry of a set on a wall or a page."""

"""The sets that are built for the shoot: the hillside, the workshop, the kiln."""

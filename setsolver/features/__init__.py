"""Pure measurements: arrays in, numbers out."""

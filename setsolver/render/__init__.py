"""Prints: originals opened at full size, cut, toned, sharpened and encoded for a lab."""

"""From frames and aspects to renditions: canvas, straightening, framing, placing, and what follows of each crop."""

"""Makes the demo catalog: geometry and light, cameras, linear renders, developed frames, truth."""

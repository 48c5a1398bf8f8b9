"""The light of every hour of the day, by name."""

import bpy

from . import stage

# name: (sun's height in degrees, azimuth in degrees from +y clockwise)
SUNS = {
    "morning": (16.0, 105.0),
    "forenoon": (38.0, 70.0),
    "noon": (56.0, 20.0),
    "afternoon": (36.0, -60.0),
    "evening": (11.0, -75.0),
}


def set_light(name: str) -> None:
    """Switch the current scene to a light."""
    if name in SUNS:
        stage.sky(*SUNS[name])
    elif name == "dusk":
        stage.dusk((0.36, 0.23, 0.24), (0.05, 0.10, 0.27), 0.12)
    else:
        _window(name)


def _window(name: str) -> None:
    """Window light: scale and colour the lamps that the workshop has put up."""
    gains = {
        "window morning": (1.0, 3.2, (1.0, 0.86, 0.68)),
        "window late": (0.82, 0.0, (1.0, 0.9, 0.8)),
        "window": (1.0, 0.0, (1.0, 1.0, 1.0)),
    }
    sky, sun, colour = gains[name]
    for light in bpy.data.lights:
        base = light.get("base") or light.energy
        light["base"] = base
        if light.type == "SUN":
            light.energy, light.color = sun, colour
        elif light.type == "AREA":
            light.energy = base * sky
    stage.dusk((0.5, 0.6, 0.8), (0.5, 0.6, 0.8), 0.0)

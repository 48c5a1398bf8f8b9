"""How the camera was set in each light: ISO, exposure by feel, white balance."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Setting:
    """ISO; exposure wish in EV; white-balance gains of red and blue in stops; what highlights may reach (1 = white)."""

    iso: int
    wish: float
    gains: tuple[float, float]
    ceiling: float = 2.3


SETTINGS = {
    "morning": Setting(100, 0.0, (-0.10, 0.12)),
    "forenoon": Setting(100, 0.1, (-0.03, 0.05)),
    "noon": Setting(100, 0.3, (0.0, 0.0)),
    "afternoon": Setting(100, 0.15, (-0.03, 0.05)),
    "evening": Setting(200, -0.15, (-0.16, 0.20)),
    "window morning": Setting(800, 0.2, (-0.04, 0.10), ceiling=30.0),
    "window": Setting(800, 0.35, (0.0, 0.08), ceiling=30.0),
    "window late": Setting(800, 0.25, (0.03, 0.03), ceiling=30.0),
    "dusk": Setting(1600, -0.5, (-0.25, 0.30)),
}

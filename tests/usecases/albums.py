"""Made-up events for tests of albums: frames of three chapters with moments, scenes, faces and keywords."""

from datetime import datetime, timedelta

import numpy as np

from setsolver.domain.brief import Brief
from tests.rules.builders import make_face, make_frame, make_snapshot

START = datetime(2026, 5, 2, 9, 0)  # noqa: DTZ001 - capture times are naive local times
WISH = {
    "page_cm": (20, 20),
    "spreads": (4, 6),
    "density": (1, 3),
    "kinds": ("single", "quiet", "page", "lead-two", "four"),
}


def brief(**album):
    weights = {"appeal": 0, "quality": 60, "variety": 0}
    return Brief(name="book", min_ppi=100, weights=weights, repeats={"twins": 1}, album={**WISH, **album})


def shoot(frames=30, chapters=3, *, timed=True, size=(6000, 4000), people=0.4):
    """Frames five minutes apart, chapters three hours apart; every third frame ends a scene."""
    rng = np.random.default_rng(frames)
    found = []
    for number in range(frames):
        chapter = number * chapters // frames
        faces = (make_face(0.3, 0.4, 0.1),) if rng.random() < people else ()
        scale = ("wide", "medium", "close")[number % 3]
        made = make_frame(
            number,
            scale,
            size=size,
            scene=number // 3,
            faces=faces,
            quality=float(rng.uniform(0.2, 1)),
            keywords=("pottery", "scale:close") if number % 2 else (),
            time=START + timedelta(hours=3 * chapter, minutes=5 * number),
            path=f"part-{chapter}/{number:04d}.jpg",
        )
        shot = made.shot if timed else type(made.shot)()
        found.append(type(made)(**{**{s: getattr(made, s) for s in made.__slots__}, "chapter": chapter, "shot": shot}))
    return make_snapshot(*found)

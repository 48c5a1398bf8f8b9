"""A catalog of drawn pictures and an outcome made by hand, for tests of finishing: nothing is scanned or solved."""

import cv2
import numpy as np

from setsolver.domain.brief import Brief
from setsolver.domain.outcome import Correction, Outcome, Placed, SetFound, SetFrame, ToneRecord
from setsolver.render.save import load_profile
from setsolver.usecases.finish import finish
from setsolver.usecases.finish_size import Wish
from tests.catalog.pictures import save

LOOK = ToneRecord(black=12, mid=52, white=88, cast_a=1, cast_b=3)
WIDTH, HEIGHT = 960, 640
PLAIN = Wish(load_profile(None))


def drawing(seed=0, width=WIDTH, height=HEIGHT):
    """A field of soft tones from dark to light, near-neutral, with some colour; uint8[height, width, 3]."""
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[:height, :width]
    ramp = 30 + 190 * (x / width * 0.6 + y / height * 0.4)
    waves = sum(9 * np.sin(x / rng.uniform(9, 60) + y / rng.uniform(9, 60) + rng.uniform(0, 6)) for _ in range(5))
    ramp += cv2.GaussianBlur(rng.normal(0, 40, (height, width)), (0, 0), 1.5)  # detail that tells where it lies
    field = np.stack([ramp + waves + 6, ramp + waves, ramp + waves - 8], axis=-1)
    field[height // 3 : height // 2, width // 3 : width // 2] = (150, 60, 40)
    return np.clip(field, 0, 255).astype(np.uint8)


def frame(path, place=0, **changes):
    """A frame of a set: a levelled crop at 3:2, printed 12 x 8 cm."""
    fields = {
        "path": path,
        "role": "wide",
        "crop": (0.1, 0.1, 0.8, 0.8),
        "level_degrees": 1.0,
        "level_cost": 0.0,
        "treatment": "colour",
        "rendition": "largest",
        "width": WIDTH,
        "height": HEIGHT,
        "crop_width": 768,
        "crop_height": 512,
        "ppi": 162.6,
        "tone": ToneRecord(black=20, mid=52, white=84, cast_a=0, cast_b=4),
        "correction": Correction(black=0, mid=0, white=0),
        "scale": {"wide": 1.0},
        "position": Placed(x_cm=18 * place, y_cm=0, width_cm=12, height_cm=8),
        **changes,
    }
    return SetFrame(**fields)


def catalog_of(folder, count=2, kind="jpg", **options):
    """Write pictures 1.jpg, 2.jpg, ...; return their names."""
    names = [f"{number}.{kind}" for number in range(1, count + 1)]
    for seed, name in enumerate(names):
        save(folder / name, drawing(seed), **options)
    return names


def outcome_of(folder, frames, treatment="colour", look=LOOK, tone=None):
    """An outcome with one set of these frames."""
    tone = tone or {"treatment": treatment, "slack": {"black": 1, "mid": 3, "white": 1, "cast": 1}}
    brief = Brief(name="hall", size=len(frames), print_cm=12, tone=tone)
    found = SetFound(kind="best", says="", score=1, bound=1, proven=True, look=look, frames=tuple(frames), ledger=())
    return Outcome(
        brief=brief.model_dump(mode="json"),
        catalog=str(folder),
        catalog_frames=len(frames),
        considered=len(frames),
        renditions=len(frames),
        status="proven",
        seconds=0,
        sets=(found,),
    )


def two_drawings(tmp_path):
    """A catalog of drawings and an outcome that holds a set of them."""
    folder = tmp_path / "catalog"
    names = catalog_of(folder, quality=95, subsampling=0)
    return folder, outcome_of(folder, [frame(name, place) for place, name in enumerate(names)])


def made(shoot, out, wish=PLAIN, **options):
    """Prints of the only set of a catalog and its outcome."""
    folder, outcome = shoot
    return finish(outcome, outcome.sets[0], folder, out, wish, **options)

"""What measuring costs beside bare scaled decoding, in processor time on one core.

    python benchmarks/features/speed.py PHOTOS

Photographs are enlarged to 24 and 45 megapixels (with grain, so that they compress like camera files) and decoded as
a scan does: JPEG at 1/2, 1/4 or 1/8 by libjpeg, then area-averaged to 1280 pixels.
"""

from __future__ import annotations

import io
import time
from collections.abc import Callable

import cv2
import numpy as np
from photographs import folder, some
from PIL import Image

from setsolver.features.measure import measure
from setsolver.features.models import Models
from setsolver.features.views import shrink

PREVIEW = 1280
REPEATS = 3


def camera_file(rgb: np.ndarray, megapixels: float, random: np.random.Generator) -> bytes:
    factor = (megapixels * 1e6 / (rgb.shape[0] * rgb.shape[1])) ** 0.5
    large = cv2.resize(rgb, None, fx=factor, fy=factor, interpolation=cv2.INTER_CUBIC)
    grain = random.normal(0, 2.5, (large.shape[0] // 2, large.shape[1] // 2)).astype(np.float32)
    grain = cv2.resize(grain, large.shape[1::-1], interpolation=cv2.INTER_LINEAR)
    noisy = np.clip(large + grain[..., None], 0, 255).astype(np.uint8)
    out = io.BytesIO()
    Image.fromarray(noisy).save(out, "JPEG", quality=92, subsampling=2)
    return out.getvalue()


def preview(code: bytes) -> np.ndarray:
    opened = Image.open(io.BytesIO(code))
    opened.draft("RGB", (PREVIEW, PREVIEW))
    return shrink(np.asarray(opened.convert("RGB")), PREVIEW)


def cost(task: Callable[[], object]) -> float:
    """Least processor time of a task, in milliseconds."""
    times = []
    for _ in range(REPEATS):
        start = time.process_time()
        task()
        times.append(time.process_time() - start)
    return min(times) * 1e3


def main() -> None:
    photos, random = folder(__doc__), np.random.default_rng(0)
    engines = {engine: Models.load(engine) for engine in ("onnxruntime", "opencv")}
    print(
        f"{'megapixels':>10} {'MB':>6} {'decode ms':>10}"
        + "".join(f"{name + ' ms':>16}{'ratio':>7}" for name in engines)
    )
    for megapixels in (12, 24, 45):
        rows = []
        for _, rgb in some(photos, 60):
            code = camera_file(rgb, megapixels, random)
            decode = cost(lambda code=code: preview(code))
            small = preview(code)
            rows.append(
                [len(code) / 1e6, decode, *(cost(lambda m=m, s=small: measure(s, models=m)) for m in engines.values())]
            )
        size, decode, *work = np.mean(rows, axis=0)
        told = "".join(f"{ms:16.0f}{(decode + ms) / decode:7.2f}" for ms in work)
        print(f"{megapixels:>10} {size:6.1f} {decode:10.0f}{told}")


if __name__ == "__main__":
    main()

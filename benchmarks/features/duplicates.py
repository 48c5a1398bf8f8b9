"""How far likeness tells the same picture under edits from other pictures.

    python benchmarks/features/duplicates.py PHOTOS

Edits follow INRIA Copydays (Douze et al., "Evaluation of GIST descriptors for web-scale image search", CIVR 2009):
JPEG after shrinking to a sixteenth of the pixels, crops by area; and turns, tone, grey and blur.
"""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
from photographs import folder, labels, some
from tilt import turned

from setsolver.features.colour import linear_to_srgb, srgb_to_linear
from setsolver.features.likeness import SAME_PICTURE, embed, hamming, signatures
from setsolver.features.models import default_engine, load_embedding
from setsolver.features.phash import perceptual_hash
from setsolver.features.views import MIDDLE, SMALL, shrink

BURSTS = "net-deepjungle-thw/fotos-201606-haseldorf"
"""A source that shows the same place again and again: its own pairs are no negatives."""
THRESHOLDS = (0.5, 0.55, 0.6, 0.625, SAME_PICTURE, 0.675, 0.7)


def cropped(removed: float) -> Callable:
    def edit(rgb: np.ndarray, random: np.random.Generator) -> np.ndarray:
        rows, columns = (int(side * (1 - removed) ** 0.5) for side in rgb.shape[:2])
        top, left = random.integers(0, rgb.shape[0] - rows + 1), random.integers(0, rgb.shape[1] - columns + 1)
        return np.ascontiguousarray(rgb[top : top + rows, left : left + columns])

    return edit


def compressed(quality: int) -> Callable:
    def edit(rgb: np.ndarray, _: np.random.Generator) -> np.ndarray:
        small = shrink(rgb, max(rgb.shape) // 4) if quality < 30 else rgb
        code = cv2.imencode(".jpg", small, [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
        return cv2.imdecode(code, cv2.IMREAD_COLOR)

    return edit


def lit(stops: float, warmth: float) -> Callable:
    gain = np.float32(2**stops * np.array([1 + warmth, 1, 1 - warmth]))
    return lambda rgb, _: linear_to_srgb(srgb_to_linear(rgb) * gain)


EDITS: dict[str, Callable] = {
    **{f"jpeg {quality}": compressed(quality) for quality in (5, 15, 50)},
    **{f"crop {removed:.0%}": cropped(removed) for removed in (0.1, 0.2, 0.3, 0.5, 0.7)},
    **{f"turn {degrees}": lambda rgb, _, d=degrees: turned(rgb, d) for degrees in (2, 5)},
    "ev +0.7": lit(0.7, 0),
    "ev -1": lit(-1, 0),
    "warm": lit(0, 0.2),
    "grey": lambda rgb, _: cv2.cvtColor(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), cv2.COLOR_GRAY2RGB),
    "blur 2": lambda rgb, _: cv2.GaussianBlur(rgb, (0, 0), 2),
}


def main() -> None:
    photos, network, random = folder(__doc__), load_embedding(default_engine()), np.random.default_rng(0)
    names, embeddings, hashes = [], [], []
    for name, full in some(photos, 3):
        rgb = shrink(full, MIDDLE)
        pictures = [rgb, *(edit(rgb, random) for edit in EDITS.values())]
        names.append(name)
        embeddings.append(embed(pictures, network))
        hashes.append([perceptual_hash(shrink(picture, SMALL)) for picture in pictures])
    count, kinds = len(names), len(EDITS) + 1
    digests = np.array(hashes, np.uint64)
    signed = signatures(np.concatenate(embeddings), digests.ravel()).reshape(count, kinds, -1)
    same = np.einsum("nkd,nd->nk", signed[:, 1:], signed[:, 0])
    others = np.einsum("nkd,md->nkm", signed, signed[:, 0])
    burst = np.array([labels(photos)[name]["source"] == BURSTS for name in names])
    apart = ~np.eye(count, dtype=bool) & ~(burst[:, None] & burst[None])
    negatives = others[np.broadcast_to(apart[:, None], others.shape)]
    print(f"{count} photographs, {same.size} edited copies, {len(negatives)} pairs of different pictures\n")
    print("likeness  false pairs  " + " ".join(f"{name:>8}" for name in EDITS))
    for threshold in THRESHOLDS:
        shares = " ".join(f"{share:8.0%}" for share in (same >= threshold).mean(axis=0))
        print(f"{threshold:8.3f}  {np.mean(negatives >= threshold):11.6f}  {shares}")
    alone = hamming(digests[:, 1:], digests[:, :1]) <= 8
    print(f"{'hash 8':>8}  {'':11}  " + " ".join(f"{share:8.0%}" for share in alone.mean(axis=0)))


if __name__ == "__main__":
    main()

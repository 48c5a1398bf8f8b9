"""How far likeness tells the same picture under edits from other pictures.

    python benchmarks/features/duplicates.py PHOTOS

Judged on every third photograph of PHOTOS and on what scikit-image and scikit-learn carry. Edits are those of INRIA
Copydays (Douze et al., "Evaluation of GIST descriptors for web-scale image search", CIVR 2009): JPEG after shrinking to
a sixteenth of the pixels (from memory), crops by area; and turns, tone, grey and blur. Its "strong" edits are prints
scanned again and the like, which no edit by numbers stands for.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping

import cv2
import numpy as np
import skimage.data
from photographs import folder, labels, some
from sklearn.datasets import load_sample_images
from tilt import turned

from setsolver.colour.lab import linear_to_srgb, srgb_to_linear
from setsolver.features.likeness import SAME_PICTURE, embed, hamming, signatures
from setsolver.features.models import load_embedding
from setsolver.features.phash import perceptual_hash
from setsolver.features.views import MIDDLE, SMALL
from setsolver.scaling import shrunk

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
        code = cv2.imencode(".jpg", shrunk(rgb, max(rgb.shape) // 4), [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
        return cv2.imdecode(code, cv2.IMREAD_COLOR)

    return edit


def lit(stops: float, warmth: float) -> Callable:
    gain = np.float32(2**stops * np.array([1 + warmth, 1, 1 - warmth]))
    return lambda rgb, _: linear_to_srgb(srgb_to_linear(rgb) * gain)


EDITS: dict[str, Callable] = {
    **{f"jpeg {quality}": compressed(quality) for quality in (3, 5, 8, 10, 15, 20, 30, 50, 75)},
    **{f"crop {removed} %": cropped(removed / 100) for removed in (10, 15, 20, 30, 40, 50, 60, 70, 80)},
    **{f"turn {degrees}": lambda rgb, _, d=degrees: turned(rgb, d) for degrees in (2, 5)},
    "ev +0.7": lit(0.7, 0),
    "ev -1": lit(-1, 0),
    "warm": lit(0, 0.2),
    "grey": lambda rgb, _: cv2.cvtColor(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), cv2.COLOR_GRAY2RGB),
    "blur 2": lambda rgb, _: cv2.GaussianBlur(rgb, (0, 0), 2),
}


def of_packages() -> Iterator[tuple[str, np.ndarray]]:
    """The photographs (and scans) that scikit-image and scikit-learn carry."""
    names = "astronaut brick camera cell chelsea clock coffee coins grass gravel hubble_deep_field immunohistochemistry"
    for name in [*names.split(), "moon", "page", "retina", "rocket", "text"]:
        picture = getattr(skimage.data, name)()
        yield name, picture if picture.ndim == 3 else cv2.cvtColor(picture, cv2.COLOR_GRAY2RGB)
    yield "motorcycle", skimage.data.stereo_motorcycle()[0]
    yield from zip(("china", "flower"), load_sample_images().images, strict=True)


def judge(title: str, photographs: Iterable[tuple[str, np.ndarray]], source: Mapping[str, str]) -> None:
    """Print which edited copies, and which pairs of different pictures, would be called the same."""
    network, random = load_embedding(), np.random.default_rng(0)
    names, embeddings, hashes = [], [], []
    for name, full in photographs:
        rgb = shrunk(full, MIDDLE)
        pictures = [rgb, *(edit(rgb, random) for edit in EDITS.values())]
        names.append(name)
        embeddings.append(embed(pictures, network))
        hashes.append([perceptual_hash(shrunk(picture, SMALL)) for picture in pictures])
    count, kinds = len(names), len(EDITS) + 1
    digests = np.array(hashes, np.uint64)
    signed = signatures(np.concatenate(embeddings), digests.ravel()).reshape(count, kinds, -1)
    same = np.einsum("nkd,nd->nk", signed[:, 1:], signed[:, 0])
    others = np.einsum("nkd,md->nkm", signed, signed[:, 0])
    burst = np.array([source.get(name) == BURSTS for name in names])
    apart = ~np.eye(count, dtype=bool) & ~(burst[:, None] & burst[None])
    negatives = others[np.broadcast_to(apart[:, None], others.shape)]
    alone = (hamming(digests[:, 1:], digests[:, :1]) <= 8).mean(axis=0)
    print(f"\n{title}: {count} photographs, {same.size} edited copies, {len(negatives)} pairs of different pictures\n")
    print(f"{'likeness':<12}" + "".join(f"{threshold:>9}" for threshold in THRESHOLDS) + f"{'hash 8':>9}")
    print(f"{'false pairs':<12}" + "".join(f"{np.mean(negatives >= threshold):9.6f}" for threshold in THRESHOLDS))
    for kind, name in enumerate(EDITS):
        shares = "".join(f"{np.mean(same[:, kind] >= threshold):9.0%}" for threshold in THRESHOLDS)
        print(f"{name:<12}{shares}{alone[kind]:9.0%}")


def main() -> None:
    photos = folder(__doc__)
    judge("photographs", some(photos, 3), {name: row["source"] for name, row in labels(photos).items()})
    judge("scikit-image and scikit-learn", of_packages(), {})


if __name__ == "__main__":
    main()

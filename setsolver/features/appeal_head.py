"""The fitted regression of appeal."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["AppealHead", "unit_rows"]


def unit_rows(vectors: NDArray[np.floating], centre: NDArray[np.floating]) -> NDArray[np.float64]:
    """Return rows about a centre, each of length 1; [n, d]."""
    rows: NDArray[np.float64] = np.asarray(vectors, np.float64) - centre
    rows /= np.maximum(np.linalg.norm(rows, axis=1, keepdims=True), 1e-9)
    return rows


@dataclass(frozen=True, slots=True, eq=False)
class AppealHead:
    """Kernel ridge regression with a Gaussian kernel (Saunders, Gammerman, Vovk, ICML 1998), and a tuned network's say.

    A frame lies where its parts say: CLIP's embedding, the mean over CLIP's places, the roots of EfficientNet-Lite0's
    embedding, each about its mean over the training table and of length 1, standardised numbers, and CLIP's inner
    layers; each times the root of its ``share``, turned onto the table's principal axes. Its value is a sum over the
    table's photographs, each weighing exp(-squared distance). ``mix`` weighs that and what the tuned network says.

    clip_mean, places_mean, lite_mean : float32[512], [768], [1280]. numbers_mean, numbers_deviation : float32[27].
    shares : float32[5]. axes : [d, m]. points : [n, m]. weights : float32[n]. bias : one number, float32[1].
    mix : float32[3], a constant, the weight of the regression, the weight of what the tuned network says.
    levels, spreads : float32[k], values and the root mean square error at each on sources left out.
    """

    clip_mean: NDArray[np.float32]
    places_mean: NDArray[np.float32]
    lite_mean: NDArray[np.float32]
    numbers_mean: NDArray[np.float32]
    numbers_deviation: NDArray[np.float32]
    shares: NDArray[np.float32]
    axes: NDArray[np.float32]
    points: NDArray[np.float32]
    weights: NDArray[np.float32]
    bias: NDArray[np.float32]
    mix: NDArray[np.float32]
    levels: NDArray[np.float32]
    spreads: NDArray[np.float32]
    _lengths: NDArray[np.float32] = field(init=False)

    def __post_init__(self) -> None:
        """Square the points once: every frame is compared with all of them."""
        object.__setattr__(self, "_lengths", (self.points * self.points).sum(axis=1))

    @classmethod
    def of_arrays(cls, arrays: Mapping[str, NDArray[np.floating]]) -> AppealHead:
        """Return the head from what ``arrays`` returned."""
        read = {one.name: np.asarray(arrays[one.name], np.float32) for one in fields(cls) if one.init}
        return cls(**read | {"points": read["points"] * np.asarray(arrays["steps"], np.float32)})

    def arrays(self) -> dict[str, NDArray[Any]]:
        """Return what ``of_arrays`` reads: axes in half precision, points as 8-bit steps, other steps on every axis."""
        steps = np.maximum(np.abs(self.points).max(axis=0), 1e-9).astype(np.float32) / np.float32(127)
        own: dict[str, NDArray[Any]] = {one.name: getattr(self, one.name) for one in fields(self) if one.init}
        small = {"axes": self.axes.astype(np.float16), "points": np.rint(self.points / steps).astype(np.int8)}
        return own | small | {"steps": steps}

    def rows(
        self,
        clip: NDArray[np.floating],
        places: NDArray[np.floating],
        lite: NDArray[np.floating],
        numbers: NDArray[np.floating],
        layers: NDArray[np.floating],
    ) -> NDArray[np.float64]:
        """Return the parts of n frames side by side, before they are turned; float64[n, d]."""
        standard = np.clip((numbers - self.numbers_mean) / self.numbers_deviation, -3, 3)
        parts = (
            unit_rows(clip, self.clip_mean),
            unit_rows(places, self.places_mean),
            unit_rows(np.sqrt(np.maximum(lite, 0)), self.lite_mean),
            standard / np.sqrt(standard.shape[1]),
            np.asarray(layers, np.float64),
        )
        return np.hstack([part * np.sqrt(share) for part, share in zip(parts, self.shares, strict=True)])

    def at(
        self,
        clip: NDArray[np.floating],
        places: NDArray[np.floating],
        lite: NDArray[np.floating],
        numbers: NDArray[np.floating],
        layers: NDArray[np.floating],
    ) -> NDArray[np.float32]:
        """Return where n frames lie among the points; float32[n, m]."""
        turned: NDArray[np.float32] = self.rows(clip, places, lite, numbers, layers).astype(np.float32) @ self.axes
        return turned

    def value(self, at: NDArray[np.float32], tuned: NDArray[np.floating]) -> NDArray[np.float64]:
        """Return the appeal of frames that lie there and of which the tuned network says that; about 1 to 5, [n]."""
        constant, regression, second = (float(one) for one in self.mix)
        return constant + regression * self.told(at) + second * np.asarray(tuned, np.float64)

    def told(self, at: NDArray[np.float32]) -> NDArray[np.float64]:
        """Return what the regression alone says of frames that lie there; float64[n]."""
        apart = (at * at).sum(axis=1)[:, None] + self._lengths - 2 * at @ self.points.T
        said: NDArray[np.float64] = np.exp(-np.maximum(apart, 0)).astype(np.float64) @ self.weights + float(
            self.bias[0]
        )
        return said

    def spread(self, value: float) -> float:
        """Return the standard deviation about a value, as it was on sources left out."""
        return float(np.interp(value, self.levels, self.spreads))

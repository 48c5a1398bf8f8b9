"""The two networks and the scale head, loaded once per process."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, partial
from importlib import import_module, resources
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Final, NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.errors import BadInput
from setsolver.features.head import Head

__all__ = [
    "EMBEDDING_FILE",
    "FACES_FILE",
    "HEADS_FILE",
    "MIN_FACE_SCORE",
    "Models",
    "Network",
    "Seen",
    "default_engine",
    "likeness_mean",
    "load_embedding",
]

EMBEDDING_FILE = "efficientnet_lite0_fp16.onnx"
FACES_FILE = "face_detection_yunet_2023mar.onnx"
HEADS_FILE = "heads.npz"
MIN_FACE_SCORE = 0.8
"""Below it the detector fires on animals: at 0.6 on 76 of 368 animal photographs (models/NOTICE.md)."""


class Seen(NamedTuple):
    """What the embedding network says of n pictures.

    embedding : float32[n, 1280], the mean of ``last`` over its places. last : float32[n, 1280, 7, 7], the last layer.
    before : float32[n, 192, 7, 7], an earlier block, whose places are sharper.
    """

    embedding: NDArray[np.float32]
    last: NDArray[np.float32]
    before: NDArray[np.float32]


Network = Callable[[NDArray[np.float32]], Seen]
_OUTPUTS: Final = ("embedding", "r91", "a84")
"""Names in the file of what ``Seen`` holds."""


@dataclass(frozen=True, slots=True, eq=False)
class Models:
    """embedding : float32[n, 3, 224, 224] to what is seen. faces : the detector.

    scale : head for odds of wide, medium, close from the embeddings of a view and its inner view. scale_alone : the
    same from one embedding. horizon : head for odds of (no horizon, a horizon). people : head
    for odds of (nobody, people).
    engine : what runs the embedding, "onnxruntime" or "opencv". Not to be shared between threads or pickled: every
    process loads its own.
    """

    embedding: Network
    faces: cv2.FaceDetectorYN
    scale: Head
    scale_alone: Head
    horizon: Head
    people: Head
    engine: str

    @classmethod
    def load(cls, engine: str | None = None) -> Models:
        """Load the weights that come with the package.

        Parameters
        ----------
        engine : "onnxruntime", "opencv", or None for onnxruntime where the extra ``fast`` is installed.

        Raises
        ------
        BadInput
            Where the engine is unknown or not installed, or weights are missing from the installation.
        """
        chosen = engine or default_engine()
        network, detector = load_embedding(chosen), _detector(_weights(FACES_FILE))
        with np.load(_weights(HEADS_FILE)) as arrays:
            heads = {name: Head.of_arrays(arrays, name) for name in ("scale", "scale_alone", "horizon", "people")}
        return cls(network, detector, **heads, engine=chosen)


def default_engine() -> str:
    """Return "onnxruntime" where the extra ``fast`` is installed, else "opencv"."""
    return "onnxruntime" if find_spec("onnxruntime") else "opencv"


@cache
def likeness_mean() -> NDArray[np.float32]:
    """Return the mean embedding of the training table, about which likeness is measured; float32[1280]."""
    with np.load(_weights(HEADS_FILE)) as arrays:
        return np.asarray(arrays["likeness_mean"], np.float32)


def load_embedding(engine: str) -> Network:
    """Return the embedding network alone; errors as in ``Models.load``."""
    if engine not in _ENGINES:
        raise BadInput(f"{engine!r} runs no network here; use one of {', '.join(_ENGINES)}")
    return _ENGINES[engine](_weights(EMBEDDING_FILE))


def _weights(name: str) -> Path:
    path = Path(str(resources.files("setsolver") / "models" / name))
    if not path.is_file():
        raise BadInput(f"the weights {name} are missing from this installation of setsolver; install it again")
    return path


def _detector(path: Path) -> cv2.FaceDetectorYN:
    log = cv2.utils.logging
    level = log.getLogLevel()
    log.setLogLevel(log.LOG_LEVEL_ERROR)  # OpenCV 5 warns that its new engine knows no targets, on every load
    try:
        return cv2.FaceDetectorYN.create(str(path), "", (320, 320), MIN_FACE_SCORE)
    finally:
        log.setLogLevel(level)


def _opencv(path: Path) -> Network:
    return partial(_forward, cv2.dnn.readNetFromONNX(str(path)))


def _forward(network: cv2.dnn.Net, batch: NDArray[np.float32]) -> Seen:
    network.setInput(batch)
    embedding, last, before = network.forward(list(_OUTPUTS))
    return Seen(embedding.reshape(len(batch), -1), last, before)


def _onnxruntime(path: Path) -> Network:
    if not find_spec("onnxruntime"):
        raise BadInput("onnxruntime is not installed; install setsolver[fast] or use the engine 'opencv'")
    onnxruntime = import_module("onnxruntime")  # an extra, loaded only where it is installed
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = options.inter_op_num_threads = 1  # frames run in parallel, not layers
    session = onnxruntime.InferenceSession(str(path), options, providers=["CPUExecutionProvider"])
    return partial(_run, session)


def _run(session: Any, batch: NDArray[np.float32]) -> Seen:
    return Seen(*session.run(list(_OUTPUTS), {"input": batch}))


_ENGINES: dict[str, Callable[[Path], Network]] = {"onnxruntime": _onnxruntime, "opencv": _opencv}

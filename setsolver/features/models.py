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
from setsolver.features.kernel_head import KernelHead
from setsolver.features.yunet import Detector, onnxruntime_detector, opencv_detector

__all__ = [
    "EMBEDDING_FILE",
    "FACES_FILE",
    "HEADS_FILE",
    "Models",
    "Network",
    "Seen",
    "default_engine",
    "likeness_mean",
    "load_detector",
    "load_embedding",
    "weights_file",
]

EMBEDDING_FILE = "efficientnet_lite0_fp16.onnx"
FACES_FILE = "face_detection_yunet_2023mar.onnx"
HEADS_FILE = "heads.npz"


class Seen(NamedTuple):
    """What the embedding network says of n pictures.

    embedding : float32[n, 1280], the mean of ``last`` over its places. last : float32[n, 1280, 7, 7], the last layer.
    before : float32[n, 192, 7, 7], an earlier block, whose places are sharper. 7 x 7 places for pictures of 224 x 224
    pixels, one for every 32 x 32.
    """

    embedding: NDArray[np.float32]
    last: NDArray[np.float32]
    before: NDArray[np.float32]


Network = Callable[[NDArray[np.float32]], Seen]
_OUTPUTS: Final = ("embedding", "r91", "a84")
"""Names in the file of what ``Seen`` holds."""


@dataclass(frozen=True, slots=True, eq=False)
class Models:
    """embedding : float32[n, 3, side, side] to what is seen. faces : the detector, see ``yunet``.

    scale : head for odds of wide, medium, close from the embeddings of a view and its inner view. scale_alone : the
    same from one embedding. horizon : head for odds of (no horizon, a horizon). people : head
    for odds of (nobody, people).
    engine : what runs both networks, "onnxruntime" or "opencv". Not to be shared between threads or pickled: every
    process loads its own.
    """

    embedding: Network
    faces: Detector
    scale: KernelHead
    scale_alone: KernelHead
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
        network, detector = load_embedding(chosen), load_detector(chosen)
        with np.load(weights_file(HEADS_FILE)) as arrays:
            scale, scale_alone = (KernelHead.of_arrays(arrays, name) for name in ("scale", "scale_alone"))
            horizon, people = (Head.of_arrays(arrays, name) for name in ("horizon", "people"))
        return cls(network, detector, scale, scale_alone, horizon, people, chosen)


def default_engine() -> str:
    """Return "onnxruntime" where the extra ``fast`` is installed, else "opencv"."""
    return "onnxruntime" if find_spec("onnxruntime") else "opencv"


@cache
def likeness_mean() -> NDArray[np.float32]:
    """Return the mean embedding of the training table, about which likeness is measured; float32[1280]."""
    with np.load(weights_file(HEADS_FILE)) as arrays:
        return np.asarray(arrays["likeness_mean"], np.float32)


def load_embedding(engine: str) -> Network:
    """Return the embedding network alone; errors as in ``Models.load``."""
    return _EMBEDDINGS[_known(engine)](weights_file(EMBEDDING_FILE))


def load_detector(engine: str) -> Detector:
    """Return the face detector alone; errors as in ``Models.load``."""
    return _DETECTORS[_known(engine)](weights_file(FACES_FILE))


def _known(engine: str) -> str:
    if engine not in _EMBEDDINGS:
        raise BadInput(f"{engine!r} runs no network here; use one of {', '.join(_EMBEDDINGS)}")
    return engine


def weights_file(name: str) -> Path:
    """Return the path of weights that come with the package; BadInput where they are missing."""
    path = Path(str(resources.files("setsolver") / "models" / name))
    if not path.is_file():
        raise BadInput(f"the weights {name} are missing from this installation of setsolver; install it again")
    return path


def _opencv(path: Path) -> Network:
    return partial(_forward, cv2.dnn.readNetFromONNX(str(path)))


def _forward(network: cv2.dnn.Net, batch: NDArray[np.float32]) -> Seen:
    network.setInput(batch)
    embedding, last, before = network.forward(list(_OUTPUTS))
    return Seen(embedding.reshape(len(batch), -1), last, before)


def _onnxruntime(path: Path) -> Network:
    return partial(_run, _session(str(path)))


def _session(network: str | bytes) -> Any:
    """Return onnxruntime's session of a file or of its bytes."""
    if not find_spec("onnxruntime"):
        raise BadInput("onnxruntime is not installed; install setsolver[fast] or use the engine 'opencv'")
    onnxruntime = import_module("onnxruntime")  # an extra, loaded only where it is installed
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = options.inter_op_num_threads = 1  # frames run in parallel, not layers
    options.log_severity_level = 3  # errors alone: the face detector's file states sizes of one input only
    return onnxruntime.InferenceSession(network, options, providers=["CPUExecutionProvider"])


def _run(session: Any, batch: NDArray[np.float32]) -> Seen:
    return Seen(*session.run(list(_OUTPUTS), {"input": batch}))


_EMBEDDINGS: dict[str, Callable[[Path], Network]] = {"onnxruntime": _onnxruntime, "opencv": _opencv}
_DETECTORS: dict[str, Callable[[Path], Detector]] = {
    "onnxruntime": partial(onnxruntime_detector, session=_session),
    "opencv": opencv_detector,
}

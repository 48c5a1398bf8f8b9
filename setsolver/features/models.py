"""The networks and the heads on what they say, loaded once per process; onnxruntime runs all of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache, partial
from importlib import import_module, resources
from pathlib import Path
from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from setsolver.errors import BadInput
from setsolver.features.appeal_head import AppealHead
from setsolver.features.head import Head
from setsolver.features.kernel_head import KernelHead
from setsolver.features.layer_axes import LayerAxes
from setsolver.features.scale_head import ScaleHead
from setsolver.features.yunet import Detector, face_detector

__all__ = [
    "APPEAL_FILE",
    "CLIP_FILE",
    "EMBEDDING_FILE",
    "FACES_FILE",
    "HEADS_FILE",
    "KIND_FILE",
    "LAYERS_FILE",
    "SCALE_FILE",
    "ClipNetwork",
    "ClipSeen",
    "Models",
    "Network",
    "Seen",
    "likeness_mean",
    "load_clip",
    "load_detector",
    "load_embedding",
    "weights_file",
    "weights_of",
]

EMBEDDING_FILE = "efficientnet_lite0_fp16.onnx"
FACES_FILE = "face_detection_yunet_2023mar.onnx"
CLIP_FILE = "clip_vit_b16_image_int8.onnx"
HEADS_FILE = "heads.npz"
APPEAL_FILE = "appeal.npz"
KIND_FILE = "kind.npz"
LAYERS_FILE = "layers.npz"
SCALE_FILE = "scale.npz"


class Seen(NamedTuple):
    """What the embedding network says of n pictures.

    embedding : float32[n, 1280], the mean of ``last`` over its places. last : float32[n, 1280, 7, 7], the last layer.
    before : float32[n, 192, 7, 7], an earlier block, whose places are sharper. 7 x 7 places for pictures of 224 x 224
    pixels, one for every 32 x 32.
    """

    embedding: NDArray[np.float32]
    last: NDArray[np.float32]
    before: NDArray[np.float32]


class ClipSeen(NamedTuple):
    """What CLIP says of one picture.

    embedding : float32[512]. places : float32[14, 14, 768], rows from the top, one for every 16 x 16 of 224 x 224.
    classes : float32[3, 768], the token of the whole picture as it was after the layers 4, 6 and 9 of 0 to 11.
    tuned : float32[2], what the second end of the network says of it, see ``Tuned``.
    """

    embedding: NDArray[np.float32]
    places: NDArray[np.float32]
    classes: NDArray[np.float32]
    tuned: NDArray[np.float32]


Network = Callable[[NDArray[np.float32]], Seen]
_OUTPUTS: Final = ("embedding", "r91", "a84")
"""Names in the file of what ``Seen`` holds."""
ClipNetwork = Callable[[NDArray[np.float32]], ClipSeen]
"""From float32[1, 3, 224, 224]."""
_CLIP_OUTPUTS: Final = (
    "image_embeds",
    "onnx::Gather_1524",
    *(f"/vision_model/encoder/layers.{layer}/Add_1_output_0" for layer in (4, 6, 9)),
    "tuned",
)
"""Names in the file of the embedding, of the tokens, at last and after inner layers: one for the whole picture, then
196 places, and of what the tuned end says."""


@dataclass(frozen=True, slots=True, eq=False)
class Models:
    """embedding : float32[n, 3, side, side] to what is seen. faces : the detector, see ``yunet``. clip : loaded when
    it is first used.

    scale : head for odds of wide, medium, close from what both networks say. scale_alone : the same from one
    embedding. horizon : head for odds of (no horizon, a horizon). people : head for odds of (nobody, people). appeal :
    head for appeal. layers : what turns ``ClipSeen.classes`` into the measure of that name. Not to be shared between
    threads or pickled: every process loads its own.
    """  # noqa: D205 - one list of fields

    embedding: Network
    faces: Detector
    clip: ClipNetwork
    scale: ScaleHead
    scale_alone: KernelHead
    horizon: Head
    people: Head
    appeal: AppealHead
    layers: LayerAxes

    @classmethod
    def load(cls) -> Models:
        """Load the weights that come with the package.

        Raises
        ------
        BadInput
            Where weights are missing from the installation.
        """
        with np.load(weights_file(HEADS_FILE)) as arrays:
            scale_alone = KernelHead.of_arrays(arrays, "scale_alone")
            horizon, people = (Head.of_arrays(arrays, name) for name in ("horizon", "people"))
        with np.load(weights_file(SCALE_FILE)) as arrays:
            scale = ScaleHead.of_arrays(arrays)
        with np.load(weights_file(APPEAL_FILE)) as arrays:
            appeal = AppealHead.of_arrays(arrays)
        with np.load(weights_file(LAYERS_FILE)) as arrays:
            layers = LayerAxes.of_arrays(arrays)
        networks = load_embedding(), load_detector(), _Later(load_clip)
        return cls(*networks, scale, scale_alone, horizon, people, appeal, layers)


class _Later:
    """CLIP, loaded when it is first used: a quick scan does without its 90 MB."""

    def __init__(self, load: Callable[[], ClipNetwork]) -> None:
        self._load = load
        self._network: ClipNetwork | None = None

    def __call__(self, batch: NDArray[np.float32]) -> ClipSeen:
        if self._network is None:
            self._network = self._load()
        return self._network(batch)


@cache
def likeness_mean() -> NDArray[np.float32]:
    """Return the mean embedding of the training table, about which likeness is measured; float32[1280]."""
    with np.load(weights_file(HEADS_FILE)) as arrays:
        return np.asarray(arrays["likeness_mean"], np.float32)


def load_embedding() -> Network:
    """Return the embedding network alone; errors as in ``Models.load``."""
    return partial(_run, _session(str(weights_file(EMBEDDING_FILE))))


def load_detector() -> Detector:
    """Return the face detector alone; errors as in ``Models.load``."""
    return face_detector(weights_file(FACES_FILE), _session)


def load_clip() -> ClipNetwork:
    """Return CLIP's image tower alone; errors as in ``Models.load``."""
    return partial(_run_clip, _session(str(weights_file(CLIP_FILE))))


def weights_file(name: str) -> Path:
    """Return the path of weights that come with the package; BadInput where they are missing."""
    path = Path(str(resources.files("setsolver") / "models" / name))
    if not path.is_file():
        raise BadInput(f"the weights {name} are missing from this installation of setsolver; install it again")
    return path


@cache
def weights_of(name: str) -> Mapping[str, NDArray[Any]]:
    """Return all arrays of a small file of weights by their names, read once a process and not to be written.

    Raises
    ------
    BadInput
        Where the file is missing from the installation.
    """
    with np.load(weights_file(name)) as arrays:
        found = {key: np.asarray(array) for key, array in arrays.items()}
    for array in found.values():
        array.flags.writeable = False
    return found


def _session(network: str | bytes) -> Any:
    """Return onnxruntime's session of a file or of its bytes."""
    onnxruntime = import_module("onnxruntime")  # it loads long, and a scan without news needs none of it
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = options.inter_op_num_threads = 1  # frames run in parallel, not layers
    options.log_severity_level = 3  # errors alone: the face detector's file states sizes of one input only
    return onnxruntime.InferenceSession(network, options, providers=["CPUExecutionProvider"])


def _run(session: Any, batch: NDArray[np.float32]) -> Seen:
    return Seen(*session.run(list(_OUTPUTS), {"input": batch}))


def _run_clip(session: Any, batch: NDArray[np.float32]) -> ClipSeen:
    embedding, tokens, *inner, tuned = session.run(list(_CLIP_OUTPUTS), {"pixel_values": batch})
    places = tokens[0, 1:].reshape(14, 14, -1)
    return ClipSeen(embedding[0], places, np.stack([layer[0, 0] for layer in inner]), tuned[0, 0])

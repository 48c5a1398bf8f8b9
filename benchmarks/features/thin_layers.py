"""CLIP's last layers with thin matrices beside their products, for tune_clip.py to train; needs PyTorch."""

from __future__ import annotations

import numpy as np
import onnx
import torch
from clip_products import LAYER, PRODUCTS
from onnx import numpy_helper
from torch import nn
from torch.nn import functional

from setsolver.features.models import CLIP_FILE, weights_file

FIRST, LAST = 9, 11
HEADS = ("appeal", "wall", "story")
"""What is told: a reader's mark, and in logits how early an editor picks the frame for a wall and for a story."""
RANK = 8
DROPPED = 0.2
"""Rank of what is learned beside each product, and share of the head's input that is left out at a time."""


def weights() -> dict[str, np.ndarray]:
    """The tuned layers' own weights in single precision, by layer and product, and those of the norm behind them."""
    graph = onnx.load(weights_file(CLIP_FILE)).graph
    array = {one.name: one for one in graph.initializer}
    found = {}
    for node in graph.node:
        for layer in range(FIRST, LAST + 1):
            for short, (place, _) in PRODUCTS.items():
                if node.op_type == "MatMulInteger" and node.name == f"{LAYER.format(layer)}{place}/MatMul_quant":
                    kept, zero = (numpy_helper.to_array(array[node.input[k]]).astype(np.float32) for k in (1, 3))
                    scale = numpy_helper.to_array(array[node.input[1].replace("_quantized", "_scale")])
                    found[f"{layer}.{short}.w"] = ((kept - zero) * scale).T.copy()
    for name, one in array.items():
        if name.startswith("vision_model.") and name.endswith(("weight", "bias")):
            found[name] = numpy_helper.to_array(one)
    return found


class Product(nn.Module):
    """A linear map that stays as it is, and a thin one beside it that is learned and begins at nothing."""

    def __init__(self, weight: np.ndarray, bias: np.ndarray) -> None:
        super().__init__()
        self.weight, self.bias = torch.tensor(weight), torch.tensor(bias)
        self.A = nn.Parameter(torch.randn(RANK, weight.shape[1]) / weight.shape[1] ** 0.5)
        self.B = nn.Parameter(torch.zeros(weight.shape[0], RANK))

    def forward(self, given: torch.Tensor) -> torch.Tensor:
        """The map and what was learned."""
        thin = functional.linear(functional.linear(given, self.A), self.B)
        return functional.linear(given, self.weight, self.bias) + thin


class Layer(nn.Module):
    """One layer of the tower (A. Dosovitskiy et al., ICLR 2021; with CLIP's activation)."""

    def __init__(self, number: int, known: dict[str, np.ndarray]) -> None:
        super().__init__()
        own = f"vision_model.encoder.layers.{number}."
        for short, (place, _) in PRODUCTS.items():
            setattr(self, short, Product(known[f"{number}.{short}.w"], known[own + place.replace("/", ".") + ".bias"]))
        self.norms = [
            tuple(torch.tensor(known[f"{own}layer_norm{k}.{part}"]) for part in ("weight", "bias")) for k in (1, 2)
        ]

    def forward(self, tokens: torch.Tensor, *, whole_only: bool) -> torch.Tensor:
        """Tokens after the layer; ``whole_only`` asks for the first token alone."""
        count, _, width = tokens.shape
        normed = functional.layer_norm(tokens, (width,), *self.norms[0])
        asking = normed[:, :1] if whole_only else normed

        def heads(given: torch.Tensor) -> torch.Tensor:
            return given.view(count, -1, 12, 64).transpose(1, 2)

        read = functional.scaled_dot_product_attention(
            heads(self.q(asking)), heads(self.k(normed)), heads(self.v(normed))
        )
        tokens = tokens[:, :1] if whole_only else tokens
        tokens = tokens + self.o(read.transpose(1, 2).reshape(count, -1, width))
        inner = self.f1(functional.layer_norm(tokens, (width,), *self.norms[1]))
        return tokens + self.f2(inner * torch.sigmoid(1.702 * inner))


class Tuned(nn.Module):
    """The last layers and linear heads on the picture's token after them and on the mean place before the last."""

    def __init__(self, known: dict[str, np.ndarray]) -> None:
        super().__init__()
        self.layers = nn.ModuleList(Layer(number, known) for number in range(FIRST, LAST + 1))
        self.norm = tuple(torch.tensor(known[f"vision_model.post_layernorm.{part}"]) for part in ("weight", "bias"))
        self.head = nn.Linear(1536, len(HEADS))
        self.mean, self.deviation = torch.zeros(1536), torch.ones(1536)

    def seen(self, tokens: torch.Tensor) -> torch.Tensor:
        """What the head is given, [n, 1536]."""
        for layer in self.layers[:-1]:
            tokens = layer(tokens, whole_only=False)
        places = functional.layer_norm(tokens[:, 1:].mean(1), (768,))
        whole = functional.layer_norm(self.layers[-1](tokens, whole_only=True)[:, 0], (768,), *self.norm)
        return torch.cat([whole, places], 1)

    def forward(self, tokens: torch.Tensor) -> torch.Tensor:
        """What each of ``HEADS`` says, [n, 3]."""
        standard = (self.seen(tokens) - self.mean) / self.deviation
        return self.head(functional.dropout(standard, DROPPED, self.training))

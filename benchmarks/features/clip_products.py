"""Names of the products in a layer of CLIP's image tower, as its ONNX file has them."""

from __future__ import annotations

LAYER = "/vision_model/encoder/layers.{}/"
PRODUCTS = {
    "q": ("self_attn/q_proj", "layer_norm1/Add_1_output_0"),
    "k": ("self_attn/k_proj", "layer_norm1/Add_1_output_0"),
    "v": ("self_attn/v_proj", "layer_norm1/Add_1_output_0"),
    "o": ("self_attn/out_proj", "self_attn/Reshape_3_output_0"),
    "f1": ("mlp/fc1", "layer_norm2/Add_1_output_0"),
    "f2": ("mlp/fc2", "mlp/activation_fn/Mul_1_output_0"),
}
"""Of each product its place in a layer and what it is taken of."""
END = "onnx::Gather_1524"
"""The file's name for what the last layer gives."""

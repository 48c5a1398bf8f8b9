"""Put the layers that tune_clip.py tuned to readings of appeal beside CLIP's own last layers.

    python benchmarks/features/graft.py TUNED.npz CLIP.onnx OUT.onnx

CLIP.onnx is the image tower without such an end, in NOTICE.md by its SHA-256 (ae33ba4c and so on); everything that it
says stays as it is, to the last bit. The last layers are computed a second time with the same 8-bit weights, to each of
whose products a product of two thin matrices is added (E. J. Hu et al., "LoRA: low-rank adaptation of large language
models", ICLR 2022); what this second end makes of the whole picture, two numbers, is the graph's new output ``tuned``.
The same weights are stored once.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import onnx
from clip_products import END, LAYER, PRODUCTS
from onnx import NodeProto, helper, numpy_helper

OUTPUT = "tuned"
EPSILON = 1e-5


class Graft:
    """Collects nodes and arrays that are put beside a graph's own."""

    def __init__(self, graph: onnx.GraphProto, first: int, last: int) -> None:
        self.graph, self.first, self.last = graph, first, last
        self.nodes: list[NodeProto] = []
        self.arrays: list[onnx.TensorProto] = []

    def array(self, name: str, values: np.ndarray) -> str:
        """Keep an array; return its name."""
        self.arrays.append(numpy_helper.from_array(values, f"tuned/{name}"))
        return f"tuned/{name}"

    def add(self, kind: str, inputs: list[str], output: str, **options: object) -> str:
        """Put a node beside the others; return its output."""
        self.nodes.append(helper.make_node(kind, inputs, [output], name=output + "/node", **options))
        return output

    def small(self, name: str, values: np.ndarray) -> str:
        """An array kept in half precision, read in single."""
        kept = self.array(name + "_half", values.astype(np.float16))
        return self.add("Cast", [kept], f"tuned/{name}", to=onnx.TensorProto.FLOAT)

    def thin(self, layer: int, product: str, given: str, down: np.ndarray, up: np.ndarray) -> str:
        """What the two thin matrices, [rank, in] and [out, rank], make of ``given``."""
        name = f"layers.{layer}/{product}"
        turned = [self.small(f"{name}/{part}", array.T) for part, array in (("down", down), ("up", up))]
        inner = self.add("MatMul", [given, turned[0]], f"tuned/{name}/inner")
        return self.add("MatMul", [inner, turned[1]], f"tuned/{name}/thin")

    def span(self, given: str, start: int, stop: int, output: str) -> str:
        """Tokens ``start`` to ``stop`` of all."""
        ends = [
            self.array(f"{output}/{name}", np.array([at], np.int64))
            for name, at in (("from", start), ("to", stop), ("axis", 1))
        ]
        return self.add("Slice", [given, *ends], f"tuned/{output}")

    def normed(self, given: str, output: str) -> str:
        """Rows about their mean, over their deviation."""
        power, least = self.array(f"{output}/two", np.float32(2)), self.array(f"{output}/least", np.float32(EPSILON))
        mean = self.add("ReduceMean", [given], f"tuned/{output}/mean", axes=[-1])
        about = self.add("Sub", [given, mean], f"tuned/{output}/about")
        squares = self.add("Pow", [about, power], f"tuned/{output}/squares")
        spread = self.add("ReduceMean", [squares], f"tuned/{output}/spread", axes=[-1])
        lifted = self.add("Add", [spread, least], f"tuned/{output}/lifted")
        return self.add("Div", [about, self.add("Sqrt", [lifted], f"tuned/{output}/root")], f"tuned/{output}")


def second_layers(graft: Graft, tuned: dict[str, np.ndarray]) -> None:
    """The graph's last layers once more, with their thin products; after its last attention one token is left."""
    mine = {f"layers.{layer}/" for layer in range(graft.first, graft.last + 1)}
    copied = [
        node for node in graft.graph.node if node.op_type != "Constant" and any(one in node.output[0] for one in mine)
    ]
    last = graft.last
    # the file's last output is the last layer's, under a name of its own
    copied.append(next(node for node in graft.graph.node if END in node.output))
    renamed = {output: f"tuned{output}" for node in copied for output in node.output}
    for node in copied:
        new = NodeProto()
        new.CopyFrom(node)
        new.name = f"tuned{node.name}"
        del new.input[:], new.output[:]
        new.input.extend(renamed.get(name, name) for name in node.input)
        new.output.extend(renamed[name] for name in node.output)
        graft.nodes.append(new)
        if node.op_type == "Add" and (found := product_of(node.output[0])):
            layer, product = found
            given = "tuned" + LAYER.format(layer) + PRODUCTS[product][1]
            if layer == last and product == "o":
                given = "tuned/one_read"
            thin = graft.thin(layer, product, given, tuned[f"{layer}.{product}.A"], tuned[f"{layer}.{product}.B"])
            plain = new.output[0] + "/plain"
            renewed, new.output[0] = new.output[0], plain
            graft.add("Add", [plain, thin], renewed)
    whole_picture_only(graft, last)


def product_of(output: str) -> tuple[int, str] | None:
    """Layer and product whose sum with its bias has that name."""
    for name, (place, _) in PRODUCTS.items():
        if output.endswith(f"{place}/Add_output_0"):
            return int(output.split("layers.")[1].split("/", maxsplit=1)[0]), name
    return None


def whole_picture_only(graft: Graft, last: int) -> None:
    """After the last attention only the first token is asked for: what follows it works on one token, not on 197."""
    layer = "tuned" + LAYER.format(last)
    read, before = f"{layer}self_attn/Reshape_3_output_0", "tuned" + LAYER.format(last - 1) + "Add_1_output_0"
    graft.span(read, 0, 1, "one_read")
    graft.span(before, 0, 1, "one_before")
    for node in graft.nodes:
        if node.op_type == "DynamicQuantizeLinear" and node.input[0] == read:
            node.input[0] = "tuned/one_read"
        if node.output[0] == f"{layer}Add_output_0":
            node.input[:] = ["tuned/one_before" if name == before else name for name in node.input]


def head(graft: Graft, tuned: dict[str, np.ndarray]) -> None:
    """Appeal and how early it is picked, of the whole picture's token and of the mean place before the last layer."""
    norm = "vision_model.post_layernorm."
    token = graft.normed("tuned" + END, "token")
    token = graft.add("Mul", [token, norm + "weight"], "tuned/token/scaled")
    token = graft.add("Add", [token, norm + "bias"], "tuned/token/moved")
    places = graft.span("tuned" + LAYER.format(graft.last - 1) + "Add_1_output_0", 1, 1 << 30, "places")
    middle = graft.add("ReduceMean", [places], "tuned/places/middle", axes=[1], keepdims=1)
    both = graft.add("Concat", [token, graft.normed(middle, "middle")], "tuned/both", axis=-1)
    weights, bias = tuned["weights"].astype(np.float32), tuned["bias"].astype(np.float32)
    said = graft.add("MatMul", [both, graft.array("weights", weights)], "tuned/said")
    graft.add("Add", [said, graft.array("bias", bias)], OUTPUT)


def in_order(graph: onnx.GraphProto, nodes: list[NodeProto]) -> list[NodeProto]:
    """The nodes, none of them the graph's own, each after those that it reads."""
    known = {one.name for one in graph.initializer} | {one.name for one in graph.input} | {""}
    known |= {name for node in graph.node for name in node.output}
    left, ordered = list(nodes), []
    while left:
        ready = [node for node in left if all(name in known for name in node.input)]
        if not ready:
            raise SystemExit(f"nothing gives {sorted({n for node in left for n in node.input} - known)[:3]}")
        ordered += ready
        known |= {name for node in ready for name in node.output}
        left = [node for node in left if not any(node is one for one in ready)]
    return ordered


def grafted(clip: Path, tuned: dict[str, np.ndarray]) -> onnx.ModelProto:
    model = onnx.load(clip)
    layers = sorted({int(name.split(".")[0]) for name in tuned if name[0].isdigit()})
    graft = Graft(model.graph, layers[0], layers[-1])
    second_layers(graft, tuned)
    head(graft, tuned)
    model.graph.initializer.extend(graft.arrays)
    model.graph.node.extend(in_order(model.graph, graft.nodes))
    model.graph.output.append(helper.make_tensor_value_info(OUTPUT, onnx.TensorProto.FLOAT, [1, 1, 2]))
    onnx.checker.check_model(model)
    return model


if __name__ == "__main__":
    with np.load(sys.argv[1]) as file:
        arrays = {name: file[name] for name in file.files}
    onnx.save(grafted(Path(sys.argv[2]), arrays), sys.argv[3])

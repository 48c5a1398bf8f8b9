"""Tune CLIP's last layers to readings of appeal: small additions to their products, which graft.py puts beside them.

    python benchmarks/features/tune_clip.py SHOOTS READINGS[:SECOND] PHOTOS PICTURES OUT.npz [--without SHOOTS.txt]

Needs the photographs and PyTorch, which setsolver itself does not. SHOOTS and READINGS are those of add_shoots.py,
PHOTOS and PICTURES those of make_appeal_table.py, as far as they are there. Every photograph, and its mirror image, is
looked at once by the layers before, in 8 bits as a scan does it; then the layers 9 to 11 are trained with thin matrices
of rank 8 added to each product (E. J. Hu et al., "LoRA: low-rank adaptation of large language models", ICLR 2022), on
half of the places of each picture, drawn anew each time, to readings about the shoot's mean (0.7) and as they are
(0.3). ``--without`` leaves whole shoots out, one name on a line, and writes what is said of them to appeal_tuned.csv.
Half an hour on two cores.
"""

from __future__ import annotations

import argparse
import csv
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
import onnx
import onnxruntime
import torch
from add_shoots import rated, table_files
from appeal_table import load
from clip_products import LAYER
from onnx import TensorProto, helper
from PIL import Image, ImageOps
from scipy.stats import spearmanr
from thin_layers import FIRST, LAST, PRODUCTS, Tuned, weights
from torch import nn

from setsolver.features.clip import _DEVIATION, _MEAN
from setsolver.features.models import CLIP_FILE, weights_file
from setsolver.scaling import shrunk

TOLD = Path(__file__).with_name("appeal_tuned.csv")
EPOCHS, RATE, KEPT = 3, 1e-3, 98
"""Rounds, step, and places looked at of 196."""
PIECE = 16
"""Frames of one shoot that are compared with each other in a step; a step has two such pieces."""


@dataclass(frozen=True)
class Photographs:
    """files [n]; target [n], mean of the readers; shoot [n]; tokens, one array of [n, 197, 768] for each side."""

    files: list[Path]
    target: np.ndarray
    shoot: np.ndarray
    tokens: tuple[np.ndarray, np.ndarray]


def looked_at(files: list[Path], folder: Path, *, mirrored: bool) -> np.ndarray:
    """What the layers before FIRST make of each picture, float16[n, 197, 768], on disk."""
    model = onnx.load(weights_file(CLIP_FILE))
    name = LAYER.format(FIRST - 1) + "Add_1_output_0"
    del model.graph.output[:]
    model.graph.output.append(helper.make_tensor_value_info(name, TensorProto.FLOAT, [1, 197, 768]))
    session = onnxruntime.InferenceSession(model.SerializeToString(), providers=["CPUExecutionProvider"])
    path = folder / f"tokens{int(mirrored)}.npy"
    tokens = np.lib.format.open_memmap(path, mode="w+", dtype=np.float16, shape=(len(files), 197, 768))
    for k, file in enumerate(files):
        with Image.open(file) as opened:
            rgb = shrunk(np.ascontiguousarray(ImageOps.exif_transpose(opened).convert("RGB")), 1280)
        seen = np.ascontiguousarray(rgb[:, ::-1]) if mirrored else rgb
        small = cv2.resize(seen, (224, 224), interpolation=cv2.INTER_AREA).astype(np.float32) / 255
        batch = np.ascontiguousarray(((small - _MEAN) / _DEVIATION).transpose(2, 0, 1)[None], np.float32)
        tokens[k] = session.run([name], {"pixel_values": batch})[0][0]
        if k % 500 == 0:
            print(f"{k} of {len(files)} looked at{', mirrored' if mirrored else ''}", flush=True)
    return tokens


def batch(photographs: Photographs, rows: np.ndarray, draw: np.random.Generator | None) -> torch.Tensor:
    """Tokens of photographs; with ``draw`` of either side and of some of the places."""
    sides = np.zeros(len(rows), int) if draw is None else draw.integers(0, 2, len(rows))
    tokens = torch.tensor(
        np.stack([photographs.tokens[side][k] for k, side in zip(rows, sides, strict=True)]).astype(np.float32)
    )
    if draw is None:
        return tokens
    kept = [torch.tensor([0, *(1 + draw.permutation(196)[:KEPT])]) for _ in rows]
    return torch.gather(tokens, 1, torch.stack(kept)[:, :, None].expand(-1, -1, 768))


@torch.no_grad()
def said(net: Tuned, photographs: Photographs, rows: np.ndarray, *, seen: bool = False) -> torch.Tensor:
    """What the net says of photographs, or what it sees in them."""
    net.eval()
    ask = net.seen if seen else net
    return torch.cat([ask(batch(photographs, rows[k : k + 32], None)) for k in range(0, len(rows), 32)])


def prepare(net: Tuned, photographs: Photographs, rows: np.ndarray, draw: np.random.Generator) -> None:
    """Begin with a ridge regression on what the untuned layers see in some photographs."""
    some = draw.permutation(rows)[:1500]
    seen = said(net, photographs, some, seen=True)
    net.mean, net.deviation = seen.mean(0), seen.std(0) + 1e-4
    at = ((seen - net.mean) / net.deviation).numpy().astype(np.float64)
    middle = photographs.target[rows].mean()
    solved = np.linalg.solve(at.T @ at + 3000 * np.eye(1536), at.T @ (photographs.target[some] - middle))
    with torch.no_grad():
        net.head.weight.copy_(torch.tensor(solved, dtype=torch.float32)[None])
        net.head.bias.fill_(float(middle))


def pieces(photographs: Photographs, rows: np.ndarray, draw: np.random.Generator) -> list[np.ndarray]:
    """Rows in parts of one shoot each, in chance order."""
    parts = []
    for one in np.unique(photographs.shoot[rows]):
        mine = draw.permutation(rows[photographs.shoot[rows] == one])
        parts += np.array_split(mine, max(1, round(len(mine) / PIECE)))
    return [parts[k] for k in draw.permutation(len(parts))]


def steps(photographs: Photographs, rows: np.ndarray, draw: np.random.Generator) -> Iterator[tuple[np.ndarray, ...]]:
    parts = pieces(photographs, rows, draw)
    return zip(parts[::2], parts[1::2], strict=False)


def train(net: Tuned, photographs: Photographs, rows: np.ndarray) -> None:
    draw = np.random.default_rng(1)
    prepare(net, photographs, rows, draw)
    thin = [value for name, value in net.named_parameters() if not name.startswith("head")]
    groups = [{"params": thin, "lr": RATE, "weight_decay": 0.01}]
    groups += [{"params": net.head.parameters(), "lr": RATE / 10, "weight_decay": 0.1}]
    optimiser = torch.optim.AdamW(groups)
    rates, done = [group["lr"] for group in groups], 0
    total = EPOCHS * len(list(steps(photographs, rows, draw)))
    for epoch in range(EPOCHS):
        net.train()
        losses = []
        for two in steps(photographs, rows, draw):
            for group, rate in zip(optimiser.param_groups, rates, strict=True):
                group["lr"] = rate * min(1, (done + 1) / 40) * (0.5 + 0.5 * np.cos(np.pi * min(1, done / total)))
            every = np.concatenate(two)
            apart = net(batch(photographs, every, draw)) - torch.tensor(photographs.target[every], dtype=torch.float32)
            about = torch.cat([part - part.mean() for part in apart.split([len(one) for one in two])])
            loss = 0.3 * (apart**2).mean() + 0.7 * (about**2).mean()
            optimiser.zero_grad()
            loss.backward()
            nn.utils.clip_grad_norm_(thin, 1.0)
            optimiser.step()
            losses.append(loss.item())
            done += 1
        print(f"round {epoch + 1} of {EPOCHS}, loss {np.mean(losses):.3f}", flush=True)


def arrays(net: Tuned) -> dict[str, np.ndarray]:
    """What graft.py reads."""
    found = {}
    for number, layer in zip(range(FIRST, LAST + 1), net.layers, strict=True):
        for short in PRODUCTS:
            product = getattr(layer, short)
            found |= {f"{number}.{short}.{part}": getattr(product, part).detach().numpy() for part in "AB"}
    weight = (net.head.weight[0] / net.deviation).detach().numpy()
    bias = float(net.head.bias) - float(weight @ net.mean.numpy())
    return found | {"weights": weight, "bias": np.array([bias])}


def photographs_of(shoots: Path, readings: list[Path], table_at: tuple[Path, Path], folder: Path) -> Photographs:
    read = [row for row in rated(shoots, *readings) if row["kind"] == "photo"]
    files = [shoots / row["shoot"] / f"{row['id']}.jpg" for row in read]
    target, shoot = [row["appeal"] for row in read], [row["shoot"] for row in read]
    table = load()
    for file, reading, source, kind in zip(table_files(*table_at), table.target, table.source, table.kind, strict=True):
        if kind != "photo":
            continue
        files.append(file)
        target.append(float(reading))
        shoot.append(f"source {source}")
    there = [k for k, file in enumerate(files) if file.is_file()]
    files = [files[k] for k in there]
    tokens = looked_at(files, folder, mirrored=False), looked_at(files, folder, mirrored=True)
    return Photographs(files, np.array(target)[there], np.array(shoot)[there], tokens)


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    for name in ("shoots", "readings", "photos", "pictures", "out"):
        options.add_argument(name)
    options.add_argument("--without", type=Path)
    asked = options.parse_args()
    torch.manual_seed(0)
    left = set(asked.without.read_text().split()) if asked.without else set()
    with tempfile.TemporaryDirectory(dir=Path(asked.out).parent) as folder:
        readings = [Path(one) for one in asked.readings.split(":")]
        table_at = Path(asked.photos), Path(asked.pictures)
        photographs = photographs_of(Path(asked.shoots), readings, table_at, Path(folder))
        apart = np.isin(photographs.shoot, sorted(left))
        net = Tuned(weights())
        train(net, photographs, np.flatnonzero(~apart))
        np.savez(asked.out, **arrays(net))
        if left:
            write_told(photographs, np.flatnonzero(apart), said(net, photographs, np.flatnonzero(apart)).numpy())


def write_told(photographs: Photographs, rows: np.ndarray, values: np.ndarray) -> None:
    shoot, target = photographs.shoot[rows], photographs.target[rows]
    within = [spearmanr(values[shoot == one], target[shoot == one])[0] for one in np.unique(shoot)]
    print(f"{len(within)} shoots left out: Spearman within a shoot {np.mean(within):.3f}")
    with TOLD.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("id", "tuned"))
        for k, value in zip(rows, values, strict=True):
            writer.writerow((f"{photographs.shoot[k]}-{photographs.files[k].stem}", f"{value:.3f}"))


if __name__ == "__main__":
    sys.exit(main())

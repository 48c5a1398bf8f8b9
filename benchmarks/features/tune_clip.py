"""Tune CLIP's last layers to readings of appeal and to choices: small additions, which graft.py puts beside them.

    python benchmarks/features/tune_clip.py SHOOTS READINGS[:SECOND] PHOTOS PICTURES OUT.npz [--without SHOOTS.txt]

Needs the photographs and PyTorch, which setsolver itself does not. SHOOTS and READINGS are those of add_shoots.py,
PHOTOS and PICTURES those of make_appeal_table.py, as far as they are there; ``lead_readings.csv`` has one reader's
marks of further photographs, ``picked.csv`` which frames editors (vision models) took for a wall of three and for a
story of five: a frame taken counts 1 there and 0.5 or 0.4 in the other, one that could stand in 0.2 or 0.3, one that
would spoil it -0.3, mean of a shoot's pickers. Every photograph, and its mirror image, is looked at once by the layers
before, in 8 bits as a scan does it; then the layers 9 to 11 are trained with thin matrices of rank 8 added to each
product (E. J. Hu et al., "LoRA: low-rank adaptation of large language models", ICLR 2022), on half of the places of
each picture, drawn anew each time, to readings about the shoot's mean (0.7) and as they are (0.3), and to which of two
frames of a shoot is picked sooner (0.3). What is kept is a running mean of the steps. ``--without`` leaves whole shoots
out, one name on a line, and writes what is said of them to held_shoots.csv. Half an hour on two cores.
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
from make_appeal_table import rows as read_rows
from onnx import TensorProto, helper
from PIL import Image, ImageOps
from scipy.stats import spearmanr
from thin_layers import FIRST, HEADS, LAST, PRODUCTS, Tuned, weights
from torch import nn
from torch.nn.functional import softplus

from setsolver.features.clip import _DEVIATION, _MEAN
from setsolver.features.models import CLIP_FILE, weights_file
from setsolver.scaling import shrunk

HELD = Path(__file__).with_name("held_shoots.csv")
PICKED, MORE = (Path(__file__).with_name(name) for name in ("picked.csv", "lead_readings.csv"))
EPOCHS, RATE, KEPT = 3, 1e-3, 98
"""Rounds, step, and places looked at of 196."""
PIECE = 16
"""Frames of one shoot that are compared with each other in a step; a step has two such pieces."""
CHOICES, KEPT_OF_BEFORE = 0.3, 0.995
"""Weight of the choices beside the readings, and share of the mean of the steps before in that after a step."""
KEPT_NEAR = 0.05
"""Weight of what was said of choices before, where there are none (tune_further.py)."""


@dataclass(frozen=True)
class Photographs:
    """files [n]; target [n], mean of the readers; worth [n, 2], how often editors picked it for a wall and for a story,
    NaN where nobody picked from its shoot; shoot [n]; tokens, one array of [n, 197, 768] for each side.
    """  # noqa: D205 - one list of fields

    files: list[Path]
    target: np.ndarray
    worth: np.ndarray
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
        net.head.weight.copy_(torch.tensor(solved, dtype=torch.float32).expand(len(HEADS), -1))
        net.head.bias.copy_(torch.tensor([middle, 0.0, 0.0]))


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


def choosing(said: torch.Tensor, worth: np.ndarray) -> torch.Tensor:
    """Log loss of which of two frames of a piece is picked sooner, [m], weighed by how much sooner it was."""
    sooner = torch.tensor(np.nan_to_num(worth), dtype=torch.float32)
    weight = (sooner[:, None] - sooner).clamp(min=0)
    return (weight * softplus(said - said[:, None])).sum() / weight.sum().clamp(min=1e-9)


State = dict[str, torch.Tensor]


def kept_as_said(said: torch.Tensor, before: torch.Tensor) -> torch.Tensor:
    """How far what is said of a piece has moved against what was said before, beyond a constant."""
    apart = said - before
    return ((apart - apart.mean()) ** 2).mean()


def rounds(
    net: Tuned,
    photographs: Photographs,
    rows: np.ndarray,
    *,
    count: int = EPOCHS,
    rate: float = RATE,
    before: torch.Tensor | None = None,
) -> Iterator[State]:
    """Train; after each round the running mean of the net's states.

    ``before`` is what was said of all photographs, [n, 3]: where nobody picked from a shoot, what is said of choices is
    kept near it.
    """
    draw = np.random.default_rng(1)
    thin = [value for name, value in net.named_parameters() if not name.startswith("head")]
    groups = [{"params": thin, "lr": rate, "weight_decay": 0.01}]
    groups += [{"params": net.head.parameters(), "lr": rate / 10, "weight_decay": 0.1}]
    optimiser = torch.optim.AdamW(groups)
    rates, done = [group["lr"] for group in groups], 0
    total = count * len(list(steps(photographs, rows, draw)))
    mean = {name: value.detach().clone() for name, value in net.state_dict().items()}
    for epoch in range(count):
        net.train()
        losses = []
        for two in steps(photographs, rows, draw):
            for group, full in zip(optimiser.param_groups, rates, strict=True):
                group["lr"] = full * min(1, (done + 1) / 40) * (0.5 + 0.5 * np.cos(np.pi * min(1, done / total)))
            loss = loss_of(net, photographs, two, draw, before)
            optimiser.zero_grad()
            loss.backward()
            nn.utils.clip_grad_norm_(thin, 1.0)
            optimiser.step()
            losses.append(loss.item())
            done += 1
            kept = min(KEPT_OF_BEFORE, done / (done + 20))
            with torch.no_grad():
                for name, value in net.state_dict().items():
                    mean[name].mul_(kept).add_(value, alpha=1 - kept)
        print(f"round {epoch + 1} of {count}, loss {np.mean(losses):.3f}", flush=True)
        yield {name: value.clone() for name, value in mean.items()}


def loss_of(
    net: Tuned,
    photographs: Photographs,
    two: tuple[np.ndarray, ...],
    draw: np.random.Generator,
    before: torch.Tensor | None,
) -> torch.Tensor:
    """Of two pieces: readings about the shoot's mean and as they are, and choices."""
    every = np.concatenate(two)
    told, sizes = net(batch(photographs, every, draw)), [len(one) for one in two]
    apart = told[:, 0] - torch.tensor(photographs.target[every], dtype=torch.float32)
    about = torch.cat([part - part.mean() for part in apart.split(sizes)])
    loss = 0.3 * (apart**2).mean() + 0.7 * (about**2).mean()
    for one, part in zip(two, told.split(sizes), strict=True):
        for k in range(2):
            if before is not None and np.isnan(photographs.worth[one, k]).all():
                loss = loss + KEPT_NEAR * kept_as_said(part[:, 1 + k], before[one, 1 + k])
            else:
                loss = loss + 0.5 * CHOICES * choosing(part[:, 1 + k], photographs.worth[one, k])
    return loss


def train(net: Tuned, photographs: Photographs, rows: np.ndarray) -> None:
    prepare(net, photographs, rows, np.random.default_rng(1))
    *_, last = rounds(net, photographs, rows)
    net.load_state_dict(last)


def arrays(net: Tuned, usual: float) -> dict[str, np.ndarray]:
    """What graft.py reads: appeal, and the mean of both choices less that of a ``usual`` frame."""
    found = {}
    for number, layer in zip(range(FIRST, LAST + 1), net.layers, strict=True):
        for short in PRODUCTS:
            product = getattr(layer, short)
            found |= {f"{number}.{short}.{part}": getattr(product, part).detach().numpy() for part in "AB"}
    weight = (net.head.weight / net.deviation).detach().numpy()
    bias = net.head.bias.detach().numpy() - weight @ net.mean.numpy() - np.array([0.0, usual, usual], np.float32)
    return found | {name: told_by(values.T) for name, values in (("weights", weight), ("bias", bias))}


def told_by(heads: np.ndarray) -> np.ndarray:
    """Appeal, and the mean of what is said of walls and of stories, [..., 2] of [..., 3]."""
    return np.stack([heads[..., 0], heads[..., 1:].mean(axis=-1)], axis=-1)


def choices(shoots: list[str], photographs: list[str]) -> np.ndarray:
    """How often editors picked each photograph for a wall and for a story, [n, 2]; NaN where nobody picked."""
    choice = {(row["shoot"], row["photograph"]): (float(row["wall"]), float(row["story"])) for row in read_rows(PICKED)}
    chosen_from = {one for one, _ in choice}
    return np.array(
        [
            choice.get((one, photograph), (0.0, 0.0)) if one in chosen_from else (np.nan, np.nan)
            for one, photograph in zip(shoots, photographs, strict=True)
        ]
    )


def photographs_of(shoots: Path, readings: list[Path], table_at: tuple[Path, Path], folder: Path) -> Photographs:
    read = [row for row in rated(shoots, *readings) if row["kind"] == "photo"]
    read += [
        {"shoot": row["shoot"], "id": row["photograph"], "appeal": float(row["appeal"])} for row in read_rows(MORE)
    ]
    files = [shoots / row["shoot"] / f"{row['id']}.jpg" for row in read]
    target, shoot = [row["appeal"] for row in read], [row["shoot"] for row in read]
    table = load()
    for file, reading, source, kind in zip(table_files(*table_at), table.target, table.source, table.kind, strict=True):
        if kind == "photo":
            files.append(file)
            target.append(float(reading))
            shoot.append(f"source {source}")
    worth = choices(shoot, [file.stem for file in files])
    there = [k for k, file in enumerate(files) if file.is_file()]
    files = [files[k] for k in there]
    tokens = looked_at(files, folder, mirrored=False), looked_at(files, folder, mirrored=True)
    return Photographs(files, *(np.array(column)[there] for column in (target, worth, shoot)), tokens)


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
        rows = np.flatnonzero(apart) if left else draw_some(photographs)
        told = told_by(said(net, photographs, rows).numpy())
        usual = float(np.median(told[:, 1]))
        np.savez(asked.out, **arrays(net, usual))
        if left:
            write_told(photographs, rows, told - [0.0, usual])


def draw_some(photographs: Photographs) -> np.ndarray:
    """Rows of a thousand photographs."""
    return np.random.default_rng(2).permutation(len(photographs.files))[:1000]


def write_told(photographs: Photographs, rows: np.ndarray, told: np.ndarray) -> None:
    """Tell how well appeal agrees with the readings, and put what is said into the table of shoots left out."""
    shoot, target = photographs.shoot[rows], photographs.target[rows]
    within = [spearmanr(told[shoot == one, 0], target[shoot == one])[0] for one in np.unique(shoot)]
    print(f"{len(within)} shoots left out: Spearman within a shoot {np.mean(within):.3f}")
    found = {(photographs.shoot[k], photographs.files[k].stem): value for k, value in zip(rows, told, strict=True)}
    table = read_rows(HELD)
    for row in table:
        appeal, picked = found[row["shoot"], row["id"]]
        row |= {"tuned": f"{appeal:.3f}", "picked": f"{picked:.3f}"}
    with HELD.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(table[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(table)


if __name__ == "__main__":
    sys.exit(main())

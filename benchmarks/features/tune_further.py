"""Go on tuning CLIP's last layers, from those that came with the package, on photographs gathered since.

    python benchmarks/features/tune_further.py SHOOTS PHOTOS OUT.npz [--without SHOOTS.txt] [--rounds N]

Needs the photographs and PyTorch, which setsolver itself does not. SHOOTS holds those of ``gathered_readings.csv`` as
SHOOT/PHOTOGRAPH.jpg, as far as they are there: ``phash`` there tells a photograph again; PHOTOS is that of
make_appeal_table.py. The layers go on from ``tuned_layers.npz`` on one reader's marks and on the 442 photographs of
PHOTOS, by half the step of tune_clip.py; what they say of choices is kept near what was said before. What comes out is
the mean of the layers before and of the mean of all rounds, so that what was learned from photographs that are no
longer at hand is not lost (M. Wortsman et al., "Robust fine-tuning of zero-shot models", CVPR 2022, mix weights for
the same end). ``--without`` leaves whole shoots out, one name on a line. A quarter of an hour on two cores.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

import numpy as np
import torch
from appeal_table import load
from clip_products import PRODUCTS
from make_appeal_table import readings
from make_appeal_table import rows as read_rows
from thin_layers import FIRST, LAST, Tuned, weights
from tune_clip import RATE, Photographs, State, arrays, looked_at, rounds, said

GATHERED, LAYERS = (Path(__file__).with_name(name) for name in ("gathered_readings.csv", "tuned_layers.npz"))
ROUNDS = 4


def photographs_of(shoots: Path, photos: Path, folder: Path) -> Photographs:
    """Those at hand: gathered ones, and the 442."""
    read = [
        (shoots / row["shoot"] / f"{row['photograph']}.jpg", row["shoot"], float(row["appeal"]))
        for row in read_rows(GATHERED)
    ]
    table = load()
    target = dict(zip(table.name, table.target, strict=True))
    for row in readings(photos):
        file = photos / "frames" / f"{row['id']}.jpg"
        if row["kind"] == "photo" and file.is_file():
            read.append((file, f"source {row['source']}", float(target[row["id"]])))
    files, shoot, marks = zip(*(one for one in read if one[0].is_file()), strict=True)
    nobody = np.full((len(files), 2), np.nan)
    tokens = looked_at(list(files), folder, mirrored=False), looked_at(list(files), folder, mirrored=True)
    return Photographs(list(files), np.array(marks), nobody, np.array(shoot), tokens)


def begun(photographs: Photographs, rows: np.ndarray) -> Tuned:
    """The layers and heads of the package; both heads of choices begin as their mean."""
    net, kept = Tuned(weights()), np.load(LAYERS)
    with torch.no_grad():
        for number, layer in zip(range(FIRST, LAST + 1), net.layers, strict=True):
            for short in PRODUCTS:
                product = getattr(layer, short)
                product.A.copy_(torch.tensor(kept[f"{number}.{short}.A"]))
                product.B.copy_(torch.tensor(kept[f"{number}.{short}.B"]))
        seen = said(net, photographs, np.random.default_rng(0).permutation(rows)[:800], seen=True)
        net.mean, net.deviation = seen.mean(0), seen.std(0) + 1e-4
        appeal, choice = torch.tensor(kept["weights"].T)
        heads = torch.stack([appeal, choice, choice])
        net.head.weight.copy_(heads * net.deviation)
        net.head.bias.copy_(torch.tensor(kept["bias"][[0, 1, 1]]) + heads @ net.mean)
    return net


def mean_of(states: list[State]) -> State:
    """Number by number."""
    return {name: sum(state[name] for state in states) / len(states) for name in states[0]}


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    for name in ("shoots", "photos", "out"):
        options.add_argument(name, type=Path)
    options.add_argument("--without", type=Path)
    options.add_argument("--rounds", type=int, default=ROUNDS)
    asked = options.parse_args()
    torch.manual_seed(0)
    left = asked.without.read_text().split() if asked.without else []
    with tempfile.TemporaryDirectory(dir=asked.out.parent) as folder:
        photographs = photographs_of(asked.shoots, asked.photos, Path(folder))
        rows = np.flatnonzero(~np.isin(photographs.shoot, left))
        net = begun(photographs, rows)
        start = {name: value.clone() for name, value in net.state_dict().items()}
        before = said(net, photographs, np.arange(len(photographs.files)))
        after = list(rounds(net, photographs, rows, count=asked.rounds, rate=RATE / 2, before=before))
        net.load_state_dict(mean_of([start, mean_of(after)]))
        np.savez(asked.out, **arrays(net, 0.0))


if __name__ == "__main__":
    sys.exit(main())

"""Go on tuning CLIP's last layers, from those that came with the package, on photographs gathered since.

    python benchmarks/features/tune_further.py SHOOTS PHOTOS OUT.npz [--start FROM] [--without LIST] [--rounds N]

Needs the photographs and PyTorch, which setsolver itself does not. SHOOTS holds those of ``gathered_readings.csv`` as
SHOOT/PHOTOGRAPH.jpg, as far as they are there: ``phash`` there tells a photograph again; PHOTOS is that of
make_appeal_table.py. The layers go on from those of the package, or of ``--start``, on one reader's marks and on the
442 photographs of PHOTOS, by half the step of tune_clip.py; on what one editor took for a wall and for a story
(``picked.csv``), too, and where nobody picked, what they say of choices is kept near what was said before. What comes
out is the mean of all rounds, number by number (M. Wortsman et al., "Model soups", ICML 2022), and says of choices as
much of a usual frame as before. ``--without`` leaves whole shoots out, one name on a line. Half an hour on two cores.
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
from tune_clip import RATE, Photographs, State, arrays, choices, looked_at, rounds, said, told_by

GATHERED, LAYERS = (Path(__file__).with_name(name) for name in ("gathered_readings.csv", "tuned_layers.npz"))
ROUNDS = 2


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
    tokens = looked_at(list(files), folder, mirrored=False), looked_at(list(files), folder, mirrored=True)
    worth = choices(list(shoot), [file.stem for file in files])
    return Photographs(list(files), np.array(marks), worth, np.array(shoot), tokens)


def begun(photographs: Photographs, rows: np.ndarray, start: Path) -> Tuned:
    """The layers and heads of before; both heads of choices begin as their mean."""
    net, kept = Tuned(weights()), np.load(start)
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
    options.add_argument("--start", type=Path, default=LAYERS)
    options.add_argument("--without", type=Path)
    options.add_argument("--rounds", type=int, default=ROUNDS)
    asked = options.parse_args()
    torch.manual_seed(0)
    left = asked.without.read_text().split() if asked.without else []
    with tempfile.TemporaryDirectory(dir=asked.out.parent) as folder:
        photographs = photographs_of(asked.shoots, asked.photos, Path(folder))
        rows = np.flatnonzero(~np.isin(photographs.shoot, left))
        net = begun(photographs, rows, asked.start)
        before = said(net, photographs, np.arange(len(photographs.files)))
        after = list(rounds(net, photographs, rows, count=asked.rounds, rate=RATE / 2, before=before))
        net.load_state_dict(mean_of(after))
        some = np.random.default_rng(2).permutation(rows)[:1000]
        now, then = told_by(said(net, photographs, some).numpy()), told_by(before[some].numpy())
        np.savez(asked.out, **arrays(net, float(np.median(now[:, 1]) - np.median(then[:, 1]))))


if __name__ == "__main__":
    sys.exit(main())

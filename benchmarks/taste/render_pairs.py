"""Render pairs of sets of one shoot, blind: equal prints in two rows on a plain wall, sides drawn by a seed, no names.

    python benchmarks/taste/render_pairs.py SHOOTS OUT SETS.csv ... --of new --against hand greedy random [--seed N]

SETS.csv is what make_sets.py writes, SHOOTS the photographs. OUT gets `0001.png` and so on, in chance order, and
`pairs.csv`, which says whose each row is: not for judges. A pair whose two sets have the same prints is left out and
said. Judges look at the pictures alone and answer, a line a pair, `0001,1,3,row 2: the same dish twice`: the number,
the row that they would deliver (1 or 2), how sure they are (1 to 3), and the deciding fault; count_votes.py counts.
"""

from __future__ import annotations

import argparse
import csv
from pathlib import Path

import numpy as np
from judged_sets import KINDS, Print, Sets, read
from PIL import Image, ImageDraw

from setsolver.catalog.reader import picture as upright
from setsolver.output.toned import cut

WIDE, GAP, WALL = 1500, 24, (226, 224, 219)
"""Pixels of a picture for judges, and between prints; colour of the wall."""
LONG_SIDE = 1280
KEY = "pairs.csv"
COLUMNS = ("pair", "shoot", "frames", "row 1", "row 2")


def printed(one: Print, shoots: Path, size: tuple[int, int]) -> Image.Image:
    """A print at a size in pixels."""
    file = next((shoots / one.shoot).glob(f"{one.photograph}.*"))
    frame = upright(file, LONG_SIDE)
    return Image.fromarray(cut(frame, one.crop[:4], one.crop.level)).resize(size, Image.Resampling.LANCZOS)


def wall_of(rows: tuple[list[Print], list[Print]], shoots: Path) -> Image.Image:
    """Both sets, one below the other, with a number beside each row and nothing else."""
    count = len(rows[0])
    wide = (WIDE - GAP * (count + 2)) // count
    tall = wide if count == KINDS["three"] else wide * 2 // 3
    wall = Image.new("RGB", (WIDE, 2 * tall + 4 * GAP), WALL)
    draw = ImageDraw.Draw(wall)
    for number, row in enumerate(rows):
        top = GAP + number * (tall + 2 * GAP)
        draw.text((GAP // 3, top + tall // 2), str(number + 1), fill=(90, 90, 90), font_size=GAP)
        for place, one in enumerate(row):
            wall.paste(printed(one, shoots, (wide, tall)), (2 * GAP + place * (wide + GAP), top))
    return wall


def alike(one: list[Print], other: list[Print]) -> bool:
    return {print_.photograph for print_ in one} == {print_.photograph for print_ in other}


def pairs_of(
    sets: Sets, of: str, against: list[str], draw: np.random.Generator
) -> list[tuple[list[Print], list[Print]]]:
    """Pairs in chance order, each with the sides as drawn."""
    pairs = []
    for shoot, kind, maker in sorted(sets):
        for rival in against if maker == of else []:
            mine, other = sets[shoot, kind, of], sets.get((shoot, kind, rival))
            if other is not None and alike(mine, other):
                print(f"{shoot}, {kind}: {of} and {rival} have the same prints")
            elif other is not None:
                pairs.append((mine, other) if draw.integers(2) else (other, mine))
    return [pairs[k] for k in draw.permutation(len(pairs))]


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("shoots", type=Path)
    options.add_argument("out", type=Path)
    options.add_argument("sets", type=Path, nargs="+")
    options.add_argument("--of", default="new")
    options.add_argument("--against", nargs="+", default=["hand", "greedy", "random"])
    options.add_argument("--seed", type=int, default=1)
    asked = options.parse_args()
    pairs = pairs_of(read(asked.sets), asked.of, asked.against, np.random.default_rng(asked.seed))
    asked.out.mkdir(parents=True, exist_ok=False)
    with (asked.out / KEY).open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(COLUMNS)
        for number, rows in enumerate(pairs, 1):
            wall_of(rows, asked.shoots).save(asked.out / f"{number:04d}.png")
            writer.writerow((f"{number:04d}", rows[0][0].shoot, len(rows[0]), *(row[0].maker for row in rows)))
    print(f"{len(pairs)} pairs")


if __name__ == "__main__":
    main()

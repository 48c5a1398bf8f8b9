"""What the prints of finished sets measure on their files, set by set.

    python benchmarks/read_back.py PRINTS ...

Each PRINTS is a folder of `setsolver finish`; its `finish.json` says how far each print's tones lie beyond the slack
around the look, and how far its picture lies from its crop, both measured on the file after it was written.
"""

from __future__ import annotations

import argparse
import statistics
from pathlib import Path

from setsolver.domain.finish import Finish
from setsolver.errors import BadInput
from setsolver.usecases.finish_folder import load_finish

LIGHTNESS, CAST = ("black", "mid", "white"), ("cast_a", "cast_b")


def row(folder: Path, finish: Finish) -> str:
    def worst(axes: tuple[str, ...]) -> float:
        return max((abs(getattr(made.beyond, axis)) for made in finish.prints for axis in axes), default=0.0)

    shifts = sorted(made.shift_px for made in finish.prints if made.shift_px is not None)
    place = f"{statistics.median(shifts):.3f} / {shifts[-1]:.3f}" if shifts else "none could tell"
    warned = sum(len(made.warnings) for made in finish.prints)
    said = f"{len(finish.prints)} | {worst(LIGHTNESS):.2f} | {worst(CAST):.2f} | {place} | {len(shifts)}"
    return f"| {folder.name} | {said} | {warned} | {len(finish.refused)} |"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("prints", type=Path, nargs="+", metavar="PRINTS")
    print(
        "| set | prints | beyond slack, L\\* | a\\*, b\\* | place, px, median / worst | told by | warnings | refused |"
    )
    print("| --- | --- | --- | --- | --- | --- | --- | --- |")
    for folder in parser.parse_args().prints:
        finish = load_finish(folder)
        if finish is None:
            raise BadInput(f"{folder} holds no finish.json; name a folder that `setsolver finish` made")
        print(row(folder, finish))


if __name__ == "__main__":
    main()

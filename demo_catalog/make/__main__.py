"""Command line: render the shots, check the renders, develop the frames."""

import argparse
import sys
from dataclasses import replace
from pathlib import Path

from demo_catalog.make.linear import SMALL, differences, path_of, read_sums, stored_sums, sums_of, write_sums


def main() -> int:
    """Run one step; 1 where `compare` finds renders that differ."""
    given = _arguments()
    return STEPS[given.step](given) or 0


def _render(given: argparse.Namespace) -> None:
    from .batch import render_missing  # noqa: PLC0415 - each step loads what it needs only

    names = _names()
    render_missing(names[::-1] if given.backwards else names, given.linear, small=given.small)


def _shot(given: argparse.Namespace) -> None:
    from .render import render_shot  # noqa: PLC0415 - only this step needs bpy
    from .shots import SETS, every_shot  # noqa: PLC0415 - as above

    shot = {shot.name: shot for shot in every_shot()}[given.name]
    if given.small:
        shot = replace(shot, long_side=shot.long_side // SMALL)
    render_shot(shot, SETS[shot.place], path_of(given.linear, shot.name))


def _sums(given: argparse.Namespace) -> None:
    sys.stdout.write(write_sums(sums_of(given.linear, _names())))


def _compare(given: argparse.Namespace) -> int:
    names = _names()
    other = sums_of(given.other, names) if given.other else read_sums(stored_sums(small=given.small))
    lines = differences(sums_of(given.linear, names), other)
    print("\n".join(lines))
    return int(len(lines) > 1)


def _develop(given: argparse.Namespace) -> None:
    from .frames import write_catalog  # noqa: PLC0415 - needs OpenCV, rendering does not

    print(write_catalog(given.linear, given.catalog), "frames")


def _sheet(given: argparse.Namespace) -> None:
    from .sheet import contact_sheet  # noqa: PLC0415 - needs Pillow only

    contact_sheet(given.catalog, given.picture)


def _pictures(given: argparse.Namespace) -> None:
    from .pictures import PARTS, readme_pictures  # noqa: PLC0415 - as above

    readme_pictures(given.catalog, given.out, given.only or PARTS)


def _names() -> list[str]:
    from .shots import every_shot  # noqa: PLC0415 - as above

    return [shot.name for shot in every_shot()]


STEPS = {
    "render": _render,
    "shot": _shot,
    "sums": _sums,
    "compare": _compare,
    "develop": _develop,
    "sheet": _sheet,
    "pictures": _pictures,
}


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m demo_catalog.make", description=__doc__)
    small = f"1/{SMALL} of the width and height: a check of the whole list that takes minutes"
    steps = parser.add_subparsers(dest="step", required=True)
    one = steps.add_parser("render", help="render every shot that LINEAR lacks (needs bpy)")
    one.add_argument("linear", type=Path)
    one.add_argument("--small", action="store_true", help=small)
    one.add_argument("--backwards", action="store_true", help="last shot first; the pixels are the same")
    one = steps.add_parser("shot", help="render one shot, which is what `render` runs for each")
    one.add_argument("linear", type=Path)
    one.add_argument("name")
    one.add_argument("--small", action="store_true", help=small)
    one = steps.add_parser("sums", help="print the checksums of the renders in LINEAR")
    one.add_argument("linear", type=Path)
    one = steps.add_parser("compare", help="compare LINEAR with another run, or with the stored checksums")
    one.add_argument("linear", type=Path)
    one.add_argument("other", type=Path, nargs="?")
    one.add_argument("--small", action="store_true", help="compare with the stored checksums of small renders")
    one = steps.add_parser("develop", help="make the frames and truth.json from LINEAR")
    one.add_argument("linear", type=Path)
    one.add_argument("catalog", type=Path)
    one = steps.add_parser("sheet", help="draw a contact sheet")
    one.add_argument("catalog", type=Path)
    one.add_argument("picture", type=Path)
    one = steps.add_parser("pictures", help="make the README's pictures (needs setsolver, chromium and pdftoppm)")
    one.add_argument("catalog", type=Path)
    one.add_argument("out", type=Path)
    parts = "sheets, wall, photographed wall, board or album; may be given more than once (all where it is not)"
    one.add_argument("--only", action="append", metavar="PART", help=parts)
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())

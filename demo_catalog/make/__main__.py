"""Command line: render the shots, develop the frames."""

import argparse
from pathlib import Path


def main() -> None:
    """Run `render LINEAR` (needs bpy), `develop LINEAR CATALOG` or `sheet CATALOG PICTURE`."""
    parser = argparse.ArgumentParser(prog="python -m demo_catalog.make", description=__doc__)
    parser.add_argument("step", choices=("render", "develop", "sheet"))
    parser.add_argument("folders", nargs="+", type=Path)
    given = parser.parse_args()
    if given.step == "render":
        from .render import render_all  # noqa: PLC0415 - only this step needs bpy
        from .shots import SETS, every_shot  # noqa: PLC0415 - as above

        render_all(every_shot(), given.folders[0], SETS)
    elif given.step == "develop":
        from .frames import write_catalog  # noqa: PLC0415 - needs OpenCV, rendering does not

        print(write_catalog(*given.folders), "frames")
    else:
        from .sheet import contact_sheet  # noqa: PLC0415 - needs Pillow only

        contact_sheet(*given.folders)


if __name__ == "__main__":
    main()

"""A contact sheet, for judging the shoot as a whole."""

from pathlib import Path

from PIL import Image, ImageDraw

CELL, COLUMNS = 230, 9


def contact_sheet(catalog: Path, picture: Path) -> None:
    """Draw every frame of the catalog small, in order, with its number."""
    paths = sorted(catalog.glob("*/*.jpg"))
    rows = -(-len(paths) // COLUMNS)
    sheet = Image.new("RGB", (COLUMNS * CELL, rows * CELL), (40, 40, 40))
    pen = ImageDraw.Draw(sheet)
    for index, path in enumerate(paths):
        frame = Image.open(path)
        frame.thumbnail((CELL - 8, CELL - 22))
        corner = (index % COLUMNS * CELL + 4, index // COLUMNS * CELL + 4)
        sheet.paste(frame, corner)
        pen.text((corner[0], corner[1] + CELL - 20), path.stem, fill=(220, 220, 220))
    sheet.save(picture)

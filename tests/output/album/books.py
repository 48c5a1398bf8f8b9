"""A small album made by hand, and JPEGs for its places: nothing is scanned, solved or rendered."""

from datetime import UTC, datetime
from io import BytesIO

import numpy as np
from PIL import Image

from setsolver.domain.album import Album, AlbumChapter, AlbumFrame, AlbumSpread, PageSize
from setsolver.domain.outcome import Correction, LedgerLine, ToneRecord
from setsolver.domain.plan import Placed
from setsolver.output.album import About, Drawn
from setsolver.render.save import srgb_profile

TONE = ToneRecord(black=10, mid=50, white=90)
WHEN = datetime(2026, 5, 2, 9, 30, tzinfo=UTC)


def picture(path, x, y, width, height, **changes):
    return AlbumFrame(
        path=path,
        slot="lead",
        place=Placed(x_cm=x, y_cm=y, width_cm=width, height_cm=height),
        crop=(0, 0, 1, 1),
        level_degrees=0,
        treatment="colour",
        width=1200,
        height=800,
        crop_width=1200,
        crop_height=800,
        ppi=300,
        tone=TONE,
        correction=Correction(black=0, mid=0, white=0),
        **changes,
    )


def album(captions=("Bowls on the shelf", "The kiln at dusk")):
    """Two spreads of two chapters on pages of 20 by 15 cm: one picture across both pages, one on the right page."""
    spreads = (
        AlbumSpread(
            number=1,
            chapter=1,
            kind="quiet",
            pace="quiet",
            score=120.5,
            look=TONE,
            frames=(picture("a.jpg", 22, 3, 12, 8, caption=captions[0]),),
            ledger=(),
        ),
        AlbumSpread(
            number=2,
            chapter=2,
            kind="single",
            pace="full",
            score=130.0,
            look=TONE,
            frames=(picture("b.jpg", -0.3, -0.3, 40.6, 15.6, caption=captions[1]),),
            ledger=(),
        ),
    )
    return Album(
        made=WHEN.isoformat(),
        tool="setsolver test",
        brief={"name": "book"},
        catalog="pottery",
        catalog_frames=9,
        considered=8,
        page=PageSize(width_cm=20, height_cm=15, bleed_mm=3, safe_mm=8, gutter_mm=8),
        status="proven",
        score=250.5,
        bound=250.5,
        gap=0.0,
        greedy=240.0,
        seconds=1.0,
        chapters=(
            AlbumChapter(number=1, title="Morning", spread=1, spreads=1, frames=5),
            AlbumChapter(number=2, title="Evening \u2014 the kiln", spread=2, spreads=1, frames=4),
        ),
        spreads=spreads,
        ledger=(LedgerLine(rule="pace", points=0.0, frames=(), says="1 full and 1 quiet"),),
    )


def draw(place):
    """A noise picture of 300 pixels an inch at a tenth of the size, so that tests stay quick."""
    width, height = round(place.at.width_cm / 2.54 * 30), round(place.at.height_cm / 2.54 * 30)
    data = BytesIO()
    noise = np.random.default_rng(place.key[0]).integers(0, 256, (height, width, 3), dtype=np.uint8)
    Image.fromarray(noise).save(data, "JPEG", quality=90)
    return Drawn(data.getvalue(), width, height)


def about(**changes):
    return About(title="A day & a night", tool="setsolver test", made=WHEN, srgb=srgb_profile(), **changes)

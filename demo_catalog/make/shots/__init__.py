"""The camera list: every position and light, in the order of rendering."""

from demo_catalog.make.shot import Shot

from . import hillside, kiln, workshop

# Which set holds a place.
SETS = {
    "plain": "hillside",
    "yard": "hillside",
    "shed": "hillside",
    "wheel": "workshop",
    "shelves": "workshop",
    "bench": "workshop",
    "kiln": "kiln",
}


def every_shot() -> list[Shot]:
    """All shots: first the key ones of every place, so that a part of the batch is a shoot already."""
    lists = (
        hillside.KEY,
        kiln.KEY,
        workshop.KEY,
        hillside.SECOND,
        kiln.MORE,
        workshop.MORE,
        hillside.MORE,
        workshop.LAST,
        hillside.LAST,
        kiln.LAST,
    )
    return [shot for part in lists for shot in part]

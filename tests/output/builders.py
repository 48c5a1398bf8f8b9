"""Outcomes made by hand, and a loader that paints pictures instead of reading files."""

import cv2
import numpy as np

from setsolver.domain.brief import Brief
from setsolver.domain.outcome import (
    Clashing,
    Correction,
    Covered,
    LedgerLine,
    Outcome,
    Placed,
    Price,
    RuledOut,
    SetFound,
    SetFrame,
    ToneRecord,
)
from setsolver.layout import ArrangeItem, arrange

LOOK = ToneRecord(black=8, mid=48, white=92, cast_a=1, cast_b=4)
NOTHING = Correction(black=0, mid=0, white=0)
ROLES = ("wide", "medium", "close")


def set_frame(path="a.jpg", **changes):
    """A square crop of a 3:2 frame, as measured; any field may be given."""
    fields = {
        "path": path,
        "role": "wide",
        "crop": (1 / 6, 0.0, 2 / 3, 1.0),
        "level_degrees": 0.0,
        "level_cost": 0.0,
        "treatment": "colour",
        "rendition": "largest",
        "width": 6000,
        "height": 4000,
        "crop_width": 4000,
        "crop_height": 4000,
        "ppi": 203.2,
        "tone": LOOK,
        "correction": NOTHING,
        "scale": {"wide": 0.8, "medium": 0.15, "close": 0.05},
        "time": "2024-05-01T17:03:00",
        "position": Placed(x_cm=0, y_cm=0, width_cm=50, height_cm=50),
        **changes,
    }
    return SetFrame(**fields)


def brief(size=3, **changes):
    fields = {"name": "hall-three", "size": size, "aspect": "1:1", "print_cm": 50, **changes}
    return Brief(**fields)


def arranged_for(wish, paths):
    """Items of a set and their arrangement."""
    items = [ArrangeItem(p, ROLES[i % 3], None, 50.0, wish.aspect_ratio) for i, p in enumerate(paths)]
    return items, arrange(wish, items)


def frames_for(wish, paths):
    """Frames in their places, tones a little apart."""
    items, arranged = arranged_for(wish, paths)
    return tuple(
        set_frame(
            items[i].path,
            role=items[i].role,
            position=place,
            tone=ToneRecord(black=8 + k % 5, mid=48 - 3 * (k % 5), white=92 - k % 5, cast_a=1, cast_b=4 + k % 5),
            correction=Correction(black=-(k % 5) / 2, mid=2.0 * (k % 5), white=0, cast_b=-(k % 5) / 2),
            level_degrees=0.8 if k == 1 else 0.0,
            level_cost=0.03 if k == 1 else 0.0,
            crop=(0.2, 0.05, 0.6, 0.9),
            lead=k == 0,
        )
        for k, (i, place) in enumerate(zip(arranged.order, arranged.placed, strict=True))
    )


def ledger_for(paths, offset=0.0):
    lines = [
        LedgerLine(rule="quality", points=30.04 - i - offset, frames=(p,), says="sharp") for i, p in enumerate(paths)
    ]
    lines += [LedgerLine(rule="role", points=15.5, frames=(p,), says="reads as it should") for p in paths]
    lines.append(LedgerLine(rule="variety", points=6.25 + offset / 2, frames=tuple(paths[:2]), says="far apart"))
    lines.append(LedgerLine(rule="tone", points=-4.75, frames=(paths[-1],), says="mid tone 48: one frame beyond 3"))
    return tuple(lines)


def found(wish, paths, kind="best", offset=0.0, **changes):
    lines = ledger_for(paths, offset)
    score = sum(line.points for line in lines)
    fields = {
        "kind": kind,
        "says": "The best set under this brief" if kind == "best" else "The best set that differs from those before",
        "score": score,
        "bound": score,
        "proven": True,
        "look": LOOK,
        "frames": frames_for(wish, paths),
        "layout": arranged_for(wish, paths)[1].plan,
        "ledger": lines,
        **changes,
    }
    return SetFound(**fields)


def outcome(wish=None, names=("a.jpg", "b.jpg", "c.jpg", "d.jpg", "e.jpg"), **changes):
    """The best set, one alternate that swaps two frames in, near-duplicates, prices, a rule at work."""
    wish = wish or brief()
    n = wish.size
    fields = {
        "made": "2026-11-25T10:30:00+01:00",
        "tool": "setsolver 0",
        "brief": wish.model_dump(mode="json"),
        "catalog": "lake/pottery",
        "catalog_frames": 120,
        "considered": 90,
        "renditions": 180,
        "status": "proven",
        "seconds": 1.25,
        "sets": (found(wish, names[:n]), found(wish, (names[0], *names[-n + 1 :])[:n], "differs", 2.0)),
        "ruled_out": (RuledOut(rule="resolution", frames=30, says="30 frames are too small", examples=(names[-1],)),),
        "repeats": (Covered(path=names[-1], beaten_by=names[0], points=3.5),),
        "prices": (Price(about=names[1], says=f"with {names[1]}", points=2.5, proven=True),),
        **changes,
    }
    return Outcome(**fields)


def clash(**changes):
    """An outcome without a set."""
    conflict = (
        Clashing(rule="size", says="9 frames are wanted", loosened=7, way_out="ask for 7 frames"),
        Clashing(rule="resolution", says="every print has 150 ppi at 50 cm", way_out="print at 30 cm"),
    )
    fields = {"sets": (), "repeats": (), "prices": (), "status": "none", "conflict": conflict, **changes}
    return outcome(**fields)


def painted(path, long_side, most=240):
    """A 3:2 picture of smooth tones, ``most`` pixels wide; the same name gives the same picture."""
    rng = np.random.default_rng(sum(path.encode("utf-8", "surrogateescape")))
    coarse = (rng.uniform(30, 235, (5, 7, 3))).astype(np.uint8)
    width = min(long_side, most)
    return cv2.resize(coarse, (width, round(width / 1.5)), interpolation=cv2.INTER_CUBIC)


def textured(path, long_side):
    """A painted picture at full size with detail at all scales, which weighs as much as a photograph."""
    smooth = painted(path, long_side, most=1600).astype(np.float32)
    rng = np.random.default_rng(len(path))
    for cells in (32, 128, 512):
        noise = rng.normal(0, 9, (cells, cells, 1)).astype(np.float32)
        smooth += cv2.resize(noise, smooth.shape[1::-1], interpolation=cv2.INTER_CUBIC)[..., None]
    return np.clip(smooth, 0, 255).astype(np.uint8)

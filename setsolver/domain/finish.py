"""What ``finish`` made, as a document: every print with what was measured on its file (``setsolver/finish`` version 1).

Lengths are centimetres, tones L*a*b* (D65), crops fractions of the levelled upright frame.
"""

from __future__ import annotations

from typing import Literal

from setsolver.domain.document import Document
from setsolver.domain.outcome import Correction, ToneRecord
from setsolver.domain.plan import Placed

__all__ = ["FileMade", "Finish", "FinishedPrint", "Hook", "NotFinished", "SoftProof"]


class SoftProof(Document):
    """What a profile does to a print's colours, on a small copy.

    outside : share of pixels that the profile moves by more than ``threshold``. mean, worst : CIEDE2000.
    picture : file in the folder that shows where, None where nothing is outside.
    """

    outside: float
    mean: float
    worst: float
    threshold: float
    picture: str | None = None


class Hook(Document):
    """Where a hook goes, in centimetres from the wall's left corner and from the floor."""

    from_left_cm: float
    from_floor_cm: float


class FinishedPrint(Document):
    """One file for the lab, and what was measured on it after it was written.

    number : place in the set, from 1. width, height : pixels of the file. ppi : pixels per inch as tagged.
    print_width_cm, print_height_cm : of the picture without border and bleed. tone : measured on the file, on the
    picture alone. beyond : how far its tones are from the look beyond the slack, 0 = within. applied : the correction.
    shift_px : how far the picture on the file lies from its crop on the original, in pixels, None where nothing in the
    picture tells. source_digest : of the original's content. digest : of the file, XXH3 (128 bits).
    """

    number: int
    file: str
    source: str
    width: int
    height: int
    ppi: float
    print_width_cm: float
    print_height_cm: float
    bleed_mm: float
    border_mm: float
    profile: str
    crop: tuple[float, float, float, float]
    degrees: float
    turn: int
    treatment: str
    tone: ToneRecord
    beyond: ToneRecord
    applied: Correction
    shift_px: float | None = None
    place: Placed
    hook: tuple[Hook, ...] = ()
    soft_proof: SoftProof | None = None
    web: str | None = None
    sidecar: str | None = None
    notes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    source_digest: str
    digest: str


class NotFinished(Document):
    """A frame of the set that could not be printed, and why."""

    number: int
    source: str
    why: str


class FileMade(Document):
    """A further file in the folder, and the digest of its content, XXH3 (128 bits)."""

    file: str
    digest: str


class Finish(Document):
    """All prints of one set.

    job : digest of the set and the options; prints of the same job are kept when it is run again. complete : every
    print is there. files : what lies beside the prints, such as the list for the lab.
    """

    format: Literal["setsolver/finish"] = "setsolver/finish"
    version: Literal[1] = 1
    made: str = ""
    tool: str = ""
    job: str = ""
    brief: str = ""
    catalog: str
    look: ToneRecord
    slack: ToneRecord
    profile: str
    intent: str
    complete: bool = False
    prints: tuple[FinishedPrint, ...] = ()
    refused: tuple[NotFinished, ...] = ()
    files: tuple[FileMade, ...] = ()
    notes: tuple[str, ...] = ()

"""Subject boxes against boxes drawn by eye (``subject_boxes.csv``), and the confidence that goes with them.

    python benchmarks/features/subjects.py PHOTOS DEMO [--sheets OUT]

PHOTOS holds ``frames/*.jpg``, DEMO is the demo catalog; "further" are photographs whose boxes were drawn after all
weights had been chosen. A frame without a box has no one subject to the reader: a view, a texture, a drawing, or too
many things. Good = the boxes share half of their union, wrong = less than a quarter. Also fits ``_SURENESS`` of
``setsolver.features.subject`` anew (a logistic regression: is the box worth keeping?).
"""

from __future__ import annotations

import argparse
import csv
from pathlib import Path
from typing import NamedTuple

import cv2
import numpy as np
from sheets import Panel, save_sheets
from sklearn.linear_model import LogisticRegression
from sklearn.metrics import roc_auc_score
from sklearn.model_selection import cross_val_predict

from setsolver.catalog.reader import read
from setsolver.domain.geometry import Box
from setsolver.domain.measures import Subject
from setsolver.features.attention import look
from setsolver.features.measure import measure
from setsolver.features.models import Models
from setsolver.features.subject import drawn_attention, sureness_cues
from setsolver.features.views import make_views

DRAWN = Path(__file__).with_name("subject_boxes.csv")
GOOD, KEEPABLE, WRONG = 0.5, 0.4, 0.25


class Case(NamedTuple):
    """A frame, the box drawn by eye (None = no one subject), what was found, and what its confidence is told from."""

    group: str
    name: str
    drawn: Box | None
    found: Subject
    faces: int
    cues: tuple[float, float, float]
    rgb: np.ndarray

    @property
    def shared(self) -> float:
        """Overlap of both boxes over their union; 0 where there is no subject."""
        if self.drawn is None:
            return 0.0
        both = self.drawn.overlap(self.found.box)
        return both / (self.drawn.area + self.found.box.area - both)


def cases(files: dict[str, dict[str, Path]]) -> list[Case]:
    models, result = Models.load(), []
    with DRAWN.open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            edges = [float(row[key]) for key in ("left", "top", "right", "bottom") if row[key]]
            drawn = Box(edges[0], edges[1], edges[2] - edges[0], edges[3] - edges[1]) if edges else None
            rgb = read(files[row["set"]][row["frame"]]).rgb
            found = measure(rgb, models=models)
            small = cv2.resize(rgb, None, fx=0.25, fy=0.25, interpolation=cv2.INTER_AREA)
            cues = cues_of(rgb, models)
            result.append(Case(row["set"], row["frame"], drawn, found.subject, len(found.faces), cues, small))
    return result


def cues_of(rgb: np.ndarray, models: Models) -> tuple[float, float, float]:
    views = make_views(rgb)
    whole, places, _ = look(views.middle, models.embedding)
    wide = float(models.scale_alone.odds(whole[None])[0, 0])
    return sureness_cues(*drawn_attention(views, places), wide)


def judged(found: list[Case], says: str) -> None:
    drawn = [case for case in found if case.drawn is not None]
    shared = np.array([case.shared for case in drawn])
    inside = np.array([case.drawn.overlap(case.found.box) / case.drawn.area for case in drawn])
    print(
        f"{says}: {len(drawn)} with a subject; overlap over union {shared.mean():.2f}, "
        f"good {np.mean(shared >= GOOD):.0%}, wrong {np.mean(shared < WRONG):.0%}; "
        f"of the subject inside the box {inside.mean():.0%}"
    )


def sureness(found: list[Case]) -> None:
    plain = [case for case in found if not case.faces]
    keep = np.array([case.shared >= KEEPABLE for case in plain])
    said = np.array([case.found.confidence for case in plain])
    print(
        f"confidence tells keepable boxes (frames without faces): area under the curve {roc_auc_score(keep, said):.2f}"
    )
    for low, high in ((0, 0.3), (0.3, 0.45), (0.45, 0.6), (0.6, 1.01)):
        rows = (said >= low) & (said < high)
        if rows.any():
            print(f"  said {low:.2f} to {min(high, 1):.2f}: {rows.sum()} frames, keepable {keep[rows].mean():.0%}")
    cues, head = np.array([case.cues for case in plain]), LogisticRegression(C=10)
    apart = cross_val_predict(head, cues, keep, cv=8, method="predict_proba")[:, 1]
    head.fit(cues, keep)
    print(f"fitted anew: {head.intercept_.round(2)} {head.coef_.round(2)}, left out {roc_auc_score(keep, apart):.2f}")


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("photos", type=Path)
    options.add_argument("demo", type=Path)
    options.add_argument("--sheets", type=Path)
    asked = options.parse_args()
    cv2.setNumThreads(1)
    photographs = {file.stem: file for file in (asked.photos / "frames").glob("*.jpg")}
    demo = {file.stem: file for file in asked.demo.rglob("*.jpg")}
    found = cases({"photographs": photographs, "further": photographs, "demo": demo})
    for group in ("photographs", "further", "demo"):
        judged([case for case in found if case.group == group], group)
    sureness(found)
    if asked.sheets:
        panels = []
        for case in sorted(found, key=lambda case: (case.drawn is None, case.shared)):
            panel = Panel(case.rgb, f"{case.name} {case.shared:.2f} sure {case.found.confidence:.2f}")
            panels.append(panel.box(case.found.box, "yellow"))
            if case.drawn:
                panel.box(case.drawn, "lime", 1)
        save_sheets(asked.sheets, "subjects", [panels[k : k + 7] for k in range(0, len(panels), 7)])


if __name__ == "__main__":
    main()

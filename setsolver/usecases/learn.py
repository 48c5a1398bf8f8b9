"""Learn a taste from choices: read them, see what each set is worth to each term, fit, and say what moved."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from setsolver.domain.choice import ChoiceRecord
from setsolver.domain.snapshot import Snapshot
from setsolver.domain.taste import Evidence, Taste
from setsolver.domain.weights import Weights
from setsolver.errors import BadInput
from setsolver.taste.learning import Learned, Preference, learn
from setsolver.usecases.briefs import load_brief
from setsolver.usecases.check import check
from setsolver.usecases.effort import Effort
from setsolver.usecases.snapshot import scanned

__all__ = ["contradictions", "learn_taste", "learned_document", "preferences_of", "read_choices"]


def read_choices(files: Sequence[Path]) -> list[ChoiceRecord]:
    """Return the choices of files of JSON lines, none of no files; a relative catalog starts from its file's folder.

    Raises
    ------
    BadInput
        With the file and the line, where one cannot be read, or where there are none at all.
    """
    choices = []
    for file in files:
        try:
            lines = file.read_text("utf-8").splitlines()
        except (OSError, ValueError) as error:
            raise BadInput(f"{file}: cannot be read as text: {error}; name a file of choices (JSON lines)") from error
        for number, line in enumerate(lines, 1):
            if line.strip():
                choices.append(_choice(line, f"{file}, line {number}", file.parent))
    choices = [
        choice for choice in choices if choice.chosen and choice.over
    ]  # an answer that prefers none says nothing
    if files and not choices:
        raise BadInput(
            "no choice in these files; a line with a set chosen, and at least one that it was chosen over, is one"
        )
    return choices


def _choice(line: str, where: str, beside: Path) -> ChoiceRecord:
    try:
        choice = ChoiceRecord.model_validate_json(line)
    except ValidationError as error:
        told = error.errors()[0]
        key = ".".join(map(str, told["loc"]))
        says = f"{key}: {told['msg']}" if key else told["msg"]
        raise BadInput(f"{where}: {says}; a choice has the keys catalog, brief, made, chosen and over") from error
    return choice.model_copy(update={"catalog": str(beside / choice.catalog)})


def contradictions(choices: Sequence[ChoiceRecord]) -> tuple[str, ...]:
    """Return a sentence for each pair of sets that was preferred one way and the other."""
    seen: set[tuple[str, frozenset[str], frozenset[str]]] = set()
    found = []
    for choice in choices:
        for over in choice.over:
            one, other = frozenset(choice.chosen), frozenset(over)
            if (choice.catalog, other, one) in seen:
                named = f"{', '.join(sorted(one))} and {', '.join(sorted(other))}"
                found.append(
                    f"in {choice.catalog} each of two sets was preferred to the other: {named}; both are left out"
                )
            seen.add((choice.catalog, one, other))
    return tuple(found)


def preferences_of(choices: Sequence[ChoiceRecord], effort: Effort = Effort()) -> list[Preference]:
    """Return what the sets of choices are worth to each term, as the briefs' own words would have them.

    Raises
    ------
    BadInput
        Where a catalog is not there, or a frame is not in it.
    """
    open_catalog = cache(_opened)
    found = []
    for choice in choices:
        shoot = open_catalog(choice.catalog)
        chosen = _worth(shoot, choice, choice.chosen, effort)
        for over in choice.over:
            other = _worth(shoot, choice, over, effort)
            found.append(Preference(chosen, other, max(len(choice.chosen), len(over)), choice.catalog))
    return found


def _opened(folder: str) -> Snapshot:
    if not Path(folder).is_dir():
        raise BadInput(
            f"the catalog {folder} of a choice is not there; keep the file of choices beside it, or mend its path"
        )
    return scanned(Path(folder))


def _worth(shoot: Snapshot, choice: ChoiceRecord, paths: Sequence[str], effort: Effort) -> dict[str, float]:
    gone = [path for path in paths if shoot.by_path(path) is None]
    if gone:
        raise BadInput(f"{gone[0]} of a choice is not a frame of {choice.catalog}: moved, or of another catalog?")
    graded = check(shoot, load_brief(choice.brief), paths, effort)["set"]
    if graded is None:
        raise BadInput(f"no frame of the set {', '.join(paths)} can be used under {choice.brief}; choose another brief")
    return dict(graded["terms"])


def learn_taste(
    choices: Sequence[ChoiceRecord],
    start: Taste,
    name: str,
    effort: Effort = Effort(),
    delivered: Sequence[ChoiceRecord] = (),
) -> tuple[Taste, Learned]:
    """Return the taste that tells the choices best without going far from ``start``, and how it was learned.

    delivered : choices of ``deliveries``; each counts as one choice, however many sets were drawn against it.
    """
    preferences = preferences_of(choices, effort)
    for one in delivered:
        share = 1.0 / len(one.over)
        preferences += [drawn._replace(worth=share) for drawn in preferences_of([one], effort)]
    begun = Weights().model_dump() | dict(start.weights)  # as a brief takes it: what a taste leaves out has its default
    learned = learn(preferences, begun, start.temperature)
    shoots = len({one.shoot for one in preferences})
    number = sum(len(choice.over) for choice in choices) + len(delivered)
    evidence = Evidence(choices=number, shoots=shoots, agreement=learned.left_out)
    says = f"Learned from {number} choices in {shoots} shoots, starting from {start.name}."
    weights = {term: round(learned.weights[term], 6) for term in begun}
    taste = Taste(name=name, says=says, temperature=start.temperature, weights=weights, evidence=evidence)
    return taste, learned


def learned_document(
    taste: Taste, learned: Learned, contradict: Sequence[str], unmatched: Sequence[str] = ()
) -> dict[str, Any]:
    """Return the document ``setsolver/learned`` version 1; unmatched : delivered files that no frame is called like."""
    return {
        "format": "setsolver/learned",
        "version": 1,
        "taste": taste.model_dump(mode="json"),
        "moved": [{"weight": move.term, "before": move.before, "after": move.after} for move in learned.moves],
        "told_before": learned.told_before,
        "told": learned.told,
        "left_out": learned.left_out,
        "contradictions": list(contradict),
        "unmatched": list(unmatched),
    }

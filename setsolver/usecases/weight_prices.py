"""What a weight does to the best set: what it gains its own rules, and what the others could have without it."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator

    from setsolver.domain.solution import Choice
    from setsolver.usecases.session import Session

__all__ = ["WeightPrice", "weight_prices"]


class WeightPrice(NamedTuple):
    """One weight of a brief.

    key : in ``weights``. gains : points by which its own rules pay the best set more than they would pay the set that
    is best without them. costs : points that all other rules pay that set more. enter, leave : paths that are in, and
    out, because of the weight. proven : True where the set without it is proven best.
    """

    key: str
    gains: float
    costs: float
    enter: tuple[str, ...]
    leave: tuple[str, ...]
    proven: bool


def weight_prices(session: Session, best: Choice) -> Iterator[WeightPrice]:
    """Yield what each weight above 0 does, by a set solved for without it."""
    assembly = session.assembly
    now = assembly.chosen_set(best.chosen, best.roles, best.look).phi
    paths = [assembly.renditions[row].frame.path for row in best.chosen]
    for key, points in session.brief.weights.model_dump().items():
        terms = [term.name for term in assembly.terms if term.key == f"weights.{key}"]
        if points == 0 or not terms:
            continue
        weights = session.brief.weights.model_copy(update={key: 0.0})
        other = session.assembly_of(session.brief.model_copy(update={"weights": weights}))
        solution = session.solution_of(other)
        if solution.best is None:  # stopped before any set: nothing is known of it
            continue
        without = solution.best
        then = other.chosen_set(without.chosen, without.roles, without.look).phi
        theirs = [other.renditions[row].frame.path for row in without.chosen]
        own = {name: points * (now.get(name, 0.0) - then.get(name, 0.0)) for name in terms}
        all_others = other.score(then) - other.score(now)
        enter, leave = (tuple(p for p in a if p not in b) for a, b in ((paths, theirs), (theirs, paths)))
        yield WeightPrice(key, sum(own.values()), all_others, enter, leave, without.proven)

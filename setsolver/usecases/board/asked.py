"""What a page asks of a board: further sets, why a frame is in or out, and what each would earn."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from setsolver.output.view.words import inert, moment, name_of, rule_name
from setsolver.usecases.board.rows import key_of
from setsolver.usecases.board.state import answer_of, paths_of
from setsolver.usecases.board.view import difference, set_view
from setsolver.usecases.compare import differing_keys

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from setsolver.domain.outcome import SetFound
    from setsolver.usecases.board.state import BoardState
    from setsolver.usecases.board.versions import Version
    from setsolver.usecases.near import Nearest
    from setsolver.usecases.weight_prices import WeightPrice

__all__ = ["because", "earnings", "further_sets", "holds", "prices", "versions", "ways", "why"]

MOST_ALTERNATES = 3
_MOST_WAYS = 6
_EVEN = 0.05
"""Points below which nothing is said: they would read 0.0."""


def further_sets(state: BoardState, most: int | None = None) -> dict[str, Any]:
    """Return the next best sets, each against the best.

    most : only so many, sooner; ``more`` then tells whether to ask for one more. None = all that are offered.
    """
    most = MOST_ALTERNATES if most is None else max(1, min(most, MOST_ALTERNATES))
    found = state.alternates
    if found is None or not state.fresh(found[0]) or len(found[1].sets) <= most:
        found = state.revision, answer_of(state.session, most)
        if not state.cut_short():
            state.alternates = found
    sets = found[1].sets[: most + 1]
    return {
        "revision": state.revision,
        "asked": most,
        "more": most < MOST_ALTERNATES,
        "sets": [
            {
                "number": at,
                **set_view(found, state.by_path, state.pictures.show),
                "points": found.score - sets[0].score,
                "differs": because(sets[0], found, None),
            }
            for at, found in enumerate(sets[1:], 2)
        ],
    }


def why(state: BoardState, key: str) -> dict[str, Any]:
    """Return why a frame is in the set, or what the best set with it would cost."""
    answer = state.session.why(state.frame(key).path)
    instead = answer.get("instead")
    return {
        "frame": key,
        "says": inert(answer["says"]),
        "points": answer["points"],
        "in_set": answer["in_set"],
        "lines": [
            {"rule": rule_name(line["rule"]), "points": line["points"], "says": inert(line["says"])}
            for line in answer["lines"]
        ],
        "leave": [name_of(path) for path in answer.get("leave", ())] if instead else [],
        "enter": [name_of(path) for path in answer.get("enter", ())] if instead else [],
    }


def earnings(state: BoardState) -> dict[str, Any]:
    """Return by key what each frame would earn this set in its best place there, all others kept; 0 for those in it."""
    found = {} if state.best is None else state.session.earnings()
    return {"revision": state.revision, "earns": {key_of(path): round(points, 3) for path, points in found.items()}}


def prices(state: BoardState, pause: Callable[[], None]) -> dict[str, Any]:
    """Return for each weight what it gains its own rules, what that costs the others, and who is in because of it.

    pause : called between two weights.
    """
    session, best = state.session, state.best
    found: dict[str, WeightPrice] = {}
    for price in () if best is None else session.weight_prices():
        found[price.key] = price
        pause()
    return {
        "revision": state.revision,
        "prices": {
            key: {
                "gains": price.gains,
                "costs": price.costs,
                "proven": price.proven,
                "enter": [name_of(path) for path in price.enter],
                "leave": [name_of(path) for path in price.leave],
            }
            for key, price in found.items()
        },
    }


def holds(state: BoardState) -> dict[str, Any]:
    """Return what holds the set on the wall back, in sentences: the hard rules that cost it points, the dearest first.

    free : how many cost nothing. Raises BadInput where there is no set. Near misses are for ``Session.prices``: they
    cut the catalog anew, for which nobody waits on a page.
    """
    prices = state.session.rule_prices()
    dear = [price for price in prices if price.points is None or price.points >= _EVEN]
    told = [{"says": inert(f"{one.says[0].upper()}{one.says[1:]}."), "points": one.points} for one in dear]
    return {"revision": state.revision, "holds": told, "free": len(prices) - len(dear)}


def ways(state: BoardState, pause: Callable[[], None]) -> dict[str, Any]:
    """Return the ways out of a clash, the nearest first, numbered from 1. pause : called between two of them."""
    if state.ways is None or not state.fresh(state.ways[0]):
        revision = state.revision
        found: list[Nearest] = []
        for way in () if state.best is not None else state.session.ways_out(_MOST_WAYS):
            found.append(way)
            pause()
        if state.cut_short():
            return {"revision": revision, "ways": []}
        state.ways = revision, tuple(found)
    says = [{"number": at, "says": inert(way.miss.says)} for at, way in enumerate(state.ways[1], 1)]
    return {"revision": state.revision, "ways": says}


def versions(state: BoardState) -> dict[str, Any]:
    """Return the versions, each with its set, and how it stands to the one on the wall by the weights of now."""
    return {"revision": state.revision, "versions": [_version(state, one) for one in state.versions.all()]}


def _version(state: BoardState, one: Version) -> dict[str, Any]:
    gone = [path for path in paths_of(one.found) if path not in state.by_path]
    told = {
        "version": one.key,
        "name": inert(one.name),
        "made": moment(one.outcome.made),
        "gone": [*map(name_of, gone)],
    }
    if gone:
        return told
    assembly, best = state.assembly(), state.best
    now = None if assembly is None else assembly.score(one.found.terms)
    shared = set() if best is None else set(paths_of(best)) & set(paths_of(one.found))
    return {
        **told,
        **set_view(one.found, state.by_path, state.pictures.show),
        "now": now,
        "points": None if now is None or best is None else now - best.score,
        "differs": [] if assembly is None or best is None else _differs(assembly.weights, best, one.found),
        "shared": len(shared),
        "keys": differing_keys(one.outcome.brief, state.session.brief.model_dump(mode="json")),
    }


def _differs(weights: Mapping[str, float], best: SetFound, other: SetFound) -> list[dict[str, Any]]:
    """Return by how many points the rules tell a set from the best, both by these weights."""
    by = {
        rule_name(term): weights.get(term, 0.0) * (other.terms.get(term, 0.0) - best.terms.get(term, 0.0))
        for term in {**best.terms, **other.terms}
    }
    rows = [{"rule": rule, "points": points} for rule, points in by.items() if abs(points) >= _EVEN]
    return sorted(rows, key=lambda row: -abs(float(row["points"])))


def because(best: SetFound, other: SetFound, most: int | None = 3) -> list[dict[str, Any]]:
    """Return the rules that tell two sets apart, with the points by which the other gains."""
    return [{"rule": rule, "points": by} for rule, by in difference(best, other)[:most]]

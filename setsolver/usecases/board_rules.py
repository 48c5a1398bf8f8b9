"""The rules of a brief that the board lets a person change: sizes, counts, caps and reach, each as one value by key."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from setsolver.errors import BadInput
from setsolver.output.view.words import inert

if TYPE_CHECKING:
    from setsolver.domain.brief import Brief

__all__ = ["changed_keys", "rules_view"]

_PLAIN = {
    "size": "Prints in the set",
    "print_cm": "Long edge of a print, cm",
    "aspect": "Width:height of a print",
    "min_ppi": "Pixels per inch at least",
}
_REPEATS = {"moment": "Frames of one moment at most", "scene": "Frames of one scene at most"}
_REACH = {
    "black": "Reach of the blacks, L*",
    "mid": "Reach of the mid tones, L*",
    "white": "Reach of the whites, L*",
    "cast": "Reach of the cast, a*b*",
    "vignette": "Reach of the vignette, EV",
    "grain": "Reach of the grain, L*",
}
_ENDS = ("least", "most")
_WHOLE = {"size", "moment", "scene", *_ENDS}
_MAY_BE_EMPTY = "repeats.scene"


def rules_view(brief: Brief) -> list[dict[str, Any]]:
    """Return every rule that can be changed here: its key, what it is called, and its value, None where it is not set.

    Roles are among them where the brief counts frames by role; slots of their own are changed in the brief's file.
    """
    rules = [_rule(key, called, getattr(brief, key)) for key, called in _PLAIN.items()]
    for name, wish in brief.roles.items():
        rules += [_rule(f"roles.{name}.{end}", f"{name}, at {end}", wish.count[at]) for at, end in enumerate(_ENDS)]
    rules += [_rule(f"repeats.{key}", called, getattr(brief.repeats, key)) for key, called in _REPEATS.items()]
    reaches = {key: getattr(brief.tone.reach, key) for key in _REACH}
    return rules + [
        _rule(f"tone.reach.{key}", _REACH[key], reach) for key, reach in reaches.items() if reach is not None
    ]


def _rule(key: str, called: str, value: float | str | None) -> dict[str, Any]:
    return {
        "key": inert(key),
        "called": inert(called),
        "value": value,
        "whole": key.rpartition(".")[2] in _WHOLE,
        "text": key == "aspect",
        "may_be_empty": key == _MAY_BE_EMPTY,
    }


def changed_keys(brief: Brief, key: str, value: float | str | None) -> tuple[str, dict[str, Any]]:
    """Return what a rule is called, and keys as ``Session.change`` takes them, for another value of it.

    Raises
    ------
    BadInput
        Where there is no such rule to change here, or it needs a value.
    """
    rule = next((rule for rule in rules_view(brief) if rule["key"] == key), None)
    if rule is None:
        raise BadInput(f"{inert(key)} is no rule that the board changes; change it in the brief's file")
    if value is None and not rule["may_be_empty"]:
        raise BadInput(f"{rule['called']} needs a value")
    if rule["text"] is not isinstance(value, str) and value is not None:
        raise BadInput(f"{rule['called']} is {'a text' if rule['text'] else 'a number'}")
    given: Any = int(value) if rule["whole"] and isinstance(value, float) and value.is_integer() else value
    return rule["called"], _nested(brief, key, given)


def _nested(brief: Brief, key: str, value: Any) -> dict[str, Any]:
    table, _, rest = key.partition(".")
    if not rest:
        return {key: value}
    if table == "repeats":
        return {"repeats": {**brief.repeats.model_dump(), rest: value}}
    if table == "tone":
        name = rest.rpartition(".")[2]
        return {"tone": {**brief.tone.model_dump(), "reach": {**brief.tone.reach.model_dump(), name: value}}}
    name, _, end = rest.rpartition(".")
    roles = {role: wish.model_dump() for role, wish in brief.roles.items()}
    count = list(roles[name]["count"])
    count[_ENDS.index(end)] = value
    roles[name]["count"] = tuple(count)
    return {"roles": roles}

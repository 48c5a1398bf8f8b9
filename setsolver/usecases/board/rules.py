"""The rules of a brief that the board lets a person change, each as one value by key: sizes, slots, tones, layout."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from setsolver.errors import BadInput
from setsolver.layout import kinds
from setsolver.output.view.words import inert

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from typing import TypeAlias

    from setsolver.domain.brief import Brief

    Value: TypeAlias = float | str | None

__all__ = ["changed_keys", "counts_of", "rules_view", "said_of"]

_TONES = {
    "black": "blacks, L*",
    "mid": "mid tones, L*",
    "white": "whites, L*",
    "cast": "cast, a*b*",
    "vignette": "vignette, EV",
    "grain": "grain, L*",
}
_ENDS = ("least", "most")


def rules_view(brief: Brief) -> list[dict[str, Any]]:
    """Return every rule that can be changed here: its key, group, what it is called, and its value.

    whole, text, options : what values it takes. may_be_empty : True where it may have none (None).
    """
    return [{key: value for key, value in rule.items() if key != "path"} for rule in _rules(brief)]


def _rules(brief: Brief) -> Iterator[dict[str, Any]]:
    """Yield the rules, each with its path in the brief's document."""
    yield _rule(("size",), "Set", "Prints in the set", brief.size, whole=True)
    yield from _prints(brief)
    yield from _repeats(brief)
    yield from _tones(brief)
    yield from _layout(brief)


def _prints(brief: Brief) -> Iterator[dict[str, Any]]:
    own = " unless a slot says otherwise" if brief.slot else ""
    yield _rule(("print_cm",), "Prints", f"Long edge, cm{own}", brief.print_cm)
    yield _rule(("aspect",), "Prints", f"Width:height{own}", brief.aspect, text=True)
    yield _rule(("min_ppi",), "Prints", f"Pixels per inch at least{own}", brief.min_ppi)
    for name, wish in brief.roles.items():
        for at, end in enumerate(_ENDS):
            path: tuple[str | int, ...] = ("roles", name, "count", at)
            yield _rule(path, "Slots", f"{name}, at {end}", wish.count[at], key=f"roles.{name}.{end}", whole=True)
    for number, slot in enumerate(brief.slot):
        for at, end in enumerate(_ENDS):
            place, key = ("slot", number, "count", at), f"slot.{number}.{end}"
            yield _rule(place, "Slots", f"{slot.called}, at {end}", slot.count[at], key=key, whole=True)
        for name, says in (("print_cm", "long edge, cm"), ("aspect", "width:height"), ("min_ppi", "pixels per inch")):
            value, text = getattr(slot, name), name == "aspect"
            yield _rule(("slot", number, name), "Slots", f"{slot.called}, {says}", value, text=text, may_be_empty=True)


def _repeats(brief: Brief) -> Iterator[dict[str, Any]]:
    repeats = brief.repeats
    yield _rule(("repeats", "moment"), "Repeats", "Frames of one moment at most", repeats.moment, whole=True)
    says = "Frames of one scene at most"
    yield _rule(("repeats", "scene"), "Repeats", says, repeats.scene, whole=True, may_be_empty=True)
    yield _rule(("repeats", "twins"), "Repeats", "Chance from which two frames are repeats", repeats.twins)


def _tones(brief: Brief) -> Iterator[dict[str, Any]]:
    tone = brief.tone
    yield _rule(("tone", "treatment"), "Tone", "Printed in", tone.treatment, options=("colour", "mono"))
    for part, says in (("slack", "Slack"), ("reach", "Reach")):
        for name, of in _TONES.items():
            value = getattr(getattr(tone, part), name)
            if value is not None:  # vignette and grain count only where the brief gives them an amount
                yield _rule(("tone", part, name), "Tone", f"{says} of the {of}", value)


def _layout(brief: Brief) -> Iterator[dict[str, Any]]:
    layout = brief.layout
    yield _rule(("layout", "kind"), "Layout", "Hangs as", layout.kind, options=tuple(kinds()))
    columns = layout.columns
    yield _rule(("layout", "columns"), "Layout", "Prints in a row", columns, whole=True, may_be_empty=True)
    yield _rule(("layout", "gap_cm"), "Layout", "Gap, cm", layout.gap_cm)
    yield _rule(
        ("layout", "order"), "Layout", "In the order of", layout.order, options=("sequence", "role", "time", "tone")
    )
    yield _rule(("layout", "align"), "Layout", "In line", layout.align, options=("top", "middle", "bottom"))


def _rule(  # noqa: PLR0913 - what a control needs to know
    path: tuple[str | int, ...],
    group: str,
    called: str,
    value: float | str | None,
    *,
    key: str = "",
    whole: bool = False,
    text: bool = False,
    options: tuple[str, ...] = (),
    may_be_empty: bool = False,
) -> dict[str, Any]:
    return {
        "path": path,
        "key": inert(key or ".".join(map(str, path))),
        "group": group,
        "called": inert(called),
        "value": value,
        "whole": whole,
        "text": text or bool(options),
        "options": list(options),
        "may_be_empty": may_be_empty,
    }


def said_of(rule: dict[str, Any], value: float | str | None) -> str:
    """Return a value of a rule in words."""
    if value is None:
        return "as many as there are" if rule["key"] == "repeats.scene" else "as the brief has it for all"
    return inert(value) if isinstance(value, str) else f"{value:g}"


def counts_of(brief: Brief) -> dict[str, tuple[str, int]]:
    """Return by key what the counts of the set and of its slots are called, and what they are."""
    counted = [rule for rule in _rules(brief) if rule["group"] in ("Set", "Slots") and rule["whole"]]
    return {rule["key"]: (rule["called"], rule["value"]) for rule in counted}


def changed_keys(
    brief: Brief, key: str, value: Value, besides: Mapping[str, Value] | None = None
) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return a rule, and keys as ``Session.change`` takes them, for another value of it.

    besides : other rules that change with it, by key.

    Raises
    ------
    BadInput
        Where there is no such rule to change here, or it does not take such a value.
    """
    found = _changed(brief, key, value)
    keys = dict[str, Any]()
    for rule, given in (found, *(_changed(brief, other, also) for other, also in (besides or {}).items())):
        top, *rest = rule["path"]
        keys[top] = _with(keys[top] if top in keys else _document(brief, top), rest, given)
    return found[0], keys


def _changed(brief: Brief, key: str, value: Value) -> tuple[dict[str, Any], Any]:
    rule = next((rule for rule in _rules(brief) if rule["key"] == key), None)
    if rule is None:
        raise BadInput(f"{inert(key)} is no rule that the board changes; change it in the brief's file")
    if value is None and not rule["may_be_empty"]:
        raise BadInput(f"{rule['called']} needs a value")
    if rule["text"] is not isinstance(value, str) and value is not None:
        raise BadInput(f"{rule['called']} is {'a text' if rule['text'] else 'a number'}")
    given: Any = int(value) if rule["whole"] and isinstance(value, float) and value.is_integer() else value
    return rule, given


def _document(brief: Brief, top: str) -> Any:
    """Return a key of the brief as plain data that may be changed; slots without what they leave to the brief."""
    if top == "slot":
        return [slot.model_dump(exclude_none=True) for slot in brief.slot]
    return brief.model_dump()[top]


def _with(document: Any, path: list[str | int], value: Any) -> Any:
    """Return plain data with one place changed."""
    if not path:
        return value
    at, *rest = path
    if isinstance(document, dict):
        return {**document, at: _with(document.get(at), rest, value)}
    return [_with(part, rest, value) if number == at else part for number, part in enumerate(document)]

"""What is wrong in a brief, and what is allowed there, in words: from the model's own schema and errors."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from pydantic_core import ErrorDetails

from setsolver.domain.brief import Brief
from setsolver.domain.measures import SCALES
from setsolver.layout import kinds
from setsolver.rules.registry import rule_names, weight_names
from setsolver.rules.words import in_a_row, nearest

__all__ = ["allowed", "dotted", "fault", "known_keys", "model_schema", "undefined_role"]

_MOST_SHOWN = 60
"""Letters of a table in a message."""

Where = tuple[str | int, ...]

KINDS = {"integer": "a whole number", "number": "a number", "string": "a text", "array": "a list"}


def dotted(where: Where) -> str:
    """Return a key as it would be written on one line, such as tone.reach.mid; slots are numbered from 1."""
    return ".".join(f"{part + 1}" if isinstance(part, int) else part for part in where)


def fault(error: ErrorDetails) -> str:
    """Return one error of the model as a sentence with key, value and what is allowed."""
    where = tuple(error["loc"])
    key = dotted(where)
    if error["type"] == "extra_forbidden":
        return _unknown_key(where)
    if error["type"] == "missing":
        return f"{key} is missing; allowed: {allowed(where)}"
    if error["type"] == "value_error":
        says = str(error.get("ctx", {}).get("error", error["msg"]))
        return f"{key} = {_shown(error['input'])}: {says}" if where else says
    return f"{key} = {_shown(error['input'])}; allowed: {allowed(where)}"


def undefined_role(name: str) -> str:
    """Return the sentence for a role that is no scale and has no match."""
    near = nearest(name, SCALES)
    return (
        f"roles.{name}: nobody defined this role{near}{' Use' if near else '; use'} {in_a_row(SCALES, 'or')}, "
        'or say what may play it with match = "keyword:WORD" or "path:GLOB"'
    )


def _unknown_key(where: Where) -> str:
    known = known_keys(where[:-1])
    table = f"[{dotted(where[:-1])}]" if len(where) > 1 else "a brief"
    if where[0] == "slot" and len(where) == 3:
        table = "a [[slot]]"
    near = nearest(str(where[-1]), known)
    return f'"{where[-1]}" is no key of {table}{near}{" Its" if near else "; its"} keys are {in_a_row(known)}'


def known_keys(where: Where) -> tuple[str, ...]:
    """Return the keys of a table of the brief; of weights and rules, those of all terms that there are."""
    if where in (("weights",), ("rules",)):
        return weight_names() if where == ("weights",) else rule_names()
    return tuple(_node(where).get("properties", {}))


def allowed(where: Where) -> str:
    """Return what a key of the brief may hold, such as "a whole number from 1 to 200"."""
    node = _node(where)
    if "enum" in node:
        return in_a_row([json.dumps(value) for value in node["enum"]], "or")
    if "$comment" in node:
        return str(node["$comment"])
    if "description" in node and node.get("type") != "object":
        return str(node["description"])
    if node.get("type") == "object":
        keys = in_a_row(tuple(node.get("properties", {})))
        return f"a table with the keys {keys}" if keys else "a table"
    return KINDS.get(str(node.get("type")), "a value") + _range(node)


def _range(node: Mapping[str, Any]) -> str:
    above, least, most = node.get("exclusiveMinimum"), node.get("minimum"), node.get("maximum")
    low = f" above {above:g}" if above is not None else f" from {least:g}" if least is not None else ""
    high = "" if most is None else f" to {most:g}" if least is not None else f" and at most {most:g}"
    return low + high


def _node(where: Where) -> dict[str, Any]:
    """Return the part of the schema that speaks of a key; empty where it says nothing."""
    schema = model_schema()
    node = _resolved(schema, schema)
    for part in where:
        inner = node.get("properties", {}).get(part) or node.get("additionalProperties") or _item(node, part)
        node = _resolved(schema, inner) if isinstance(inner, dict) else {}
    return node


def model_schema() -> dict[str, Any]:
    """Return the model's schema with the layout kinds that there are, which the model itself does not know."""
    schema = Brief.model_json_schema()
    schema["$defs"]["LayoutWish"]["properties"]["kind"] = {
        "default": "row",
        "enum": list(kinds()),
        "title": "Kind",
        "type": "string",
    }
    return schema


def _item(node: Mapping[str, Any], part: str | int) -> Any:
    prefix = node.get("prefixItems", ())
    return prefix[part] if isinstance(part, int) and part < len(prefix) else node.get("items")


def _resolved(schema: Mapping[str, Any], node: Mapping[str, Any]) -> dict[str, Any]:
    """Return a node with its reference followed, and of several ways to write it the fullest one."""
    said = {key: node[key] for key in ("description", "$comment") if key in node}
    if "$ref" in node:
        return _resolved(schema, schema["$defs"][node["$ref"].rpartition("/")[2]]) | said
    if "anyOf" in node:
        ways = [way for way in node["anyOf"] if way.get("type") != "null"]
        return _resolved(schema, ways[-1]) | said
    return dict(node)


def _shown(value: Any) -> str:
    """Return a value as it may be written in the file; of a table that is long, its beginning."""
    text = json.dumps(value, default=str, ensure_ascii=False)
    return f"{text[:_MOST_SHOWN]}...}}" if isinstance(value, dict) and len(text) > _MOST_SHOWN else text

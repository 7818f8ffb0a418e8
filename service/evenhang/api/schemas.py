"""The schemas of the contract: msgspec's own, with the words and the limits that the types do not carry.

Knows structs and words, no operation by name.
"""

from collections.abc import Iterable
from typing import Any

import msgspec
import msgspec.inspect as mi

from evenhang.api.calls import Operation
from evenhang.api.problems import Problem
from evenhang.api.words import SHAPES, meaning
from evenhang.engine.money import Amount, Factor

Json = dict[str, Any]
_AT = "#/components/schemas/{name}"


def schemas_of(operations: Iterable[Operation]) -> Json:
    """components.schemas: every struct that an operation takes or gives, and those inside them, by name."""
    kinds: set[type] = {Problem}
    for op in operations:
        kinds |= {*op.answer, *((op.request,) if op.request else ())}
    parts = _components(kinds)
    for name in _whole(kinds):
        parts[name]["required"] = list(parts[name]["properties"])
    for op in operations:
        if op.query is not None:
            parts |= {name: part for name, part in _components({op.query}).items() if name != op.query.__name__}
    return {name: _worded(name, parts[name]) for name in sorted(parts)}


def _whole(kinds: set[type]) -> set[str]:
    """The structs of answers that are always sent with every field; a default is no promise that one may be missing."""
    found: set[str] = set()
    todo: list[Any] = [mi.type_info(kind) for kind in kinds]
    seen: set[type] = set()
    while todo:
        part = todo.pop()
        if isinstance(part, mi.StructType):
            if part.cls in seen:
                continue
            seen.add(part.cls)
            if not part.forbid_unknown_fields and not part.cls.__struct_config__.omit_defaults:
                found.add(part.cls.__name__)
            todo += [field.type for field in part.fields]
        else:
            inside = [getattr(part, name, None) for name in ("type", "item_type", "key_type", "value_type")]
            todo += [*(kind for kind in inside if isinstance(kind, mi.Type)), *getattr(part, "types", ()), *getattr(part, "item_types", ())]
    return found


def json_type(kind: type) -> Json:
    """The reference to the schema of a struct."""
    return {"$ref": _AT.format(name=kind.__name__)}


def parameters_of(query: type, examples: dict[str, Json]) -> list[Json]:
    """The query parameters that a struct describes; `examples` are whole queries by name."""
    schema = _worded(query.__name__, _components({query})[query.__name__])
    out = []
    for name, field in schema["properties"].items():
        field = _not_null(field)
        entry = {"name": name, "in": "query", "required": name in schema.get("required", []), "description": field.pop("description", "")}
        entry["schema"] = field
        shown = {example: {"value": _as_meant(asked[name], field)} for example, asked in examples.items() if name in asked}
        out.append(entry | ({"examples": shown} if shown else {}))
    return out


def _hook(kind: type) -> Json:
    """Our own decimals, which come and go as text."""
    if issubclass(kind, (Amount, Factor)):
        most = 19 if issubclass(kind, Amount) else 25  # 12 digits, the point, 6 or 12 digits
        return {"type": "string", "pattern": kind.PATTERN, "maxLength": most, "description": f"Text: {kind.WORDS}."}
    raise NotImplementedError(kind)  # how a hook tells msgspec that the type is none of ours


def _components(kinds: set[type]) -> Json:
    ordered = sorted(kinds, key=lambda kind: kind.__name__)
    return msgspec.json.schema_components(ordered, schema_hook=_hook, ref_template=_AT)[1]


def _worded(name: str, schema: Json) -> Json:
    """The schema with each field's meaning, shape and type said."""
    closed = schema.get("additionalProperties") is False
    for field, at in schema.get("properties", {}).items():
        if not closed and field == "code" and "enum" in at:  # an answer's codes are an open list: a new one breaks nobody
            at["examples"] = at.pop("enum")
            at["type"] = "string"
        if at.get("type") in ("string", "integer"):
            shape = SHAPES.get(f"{name}.{field}") or SHAPES.get(field, {})
            at.update({key: value for key, value in shape.items() if key not in at})
        words = meaning(name, field)
        if words is not None:
            own = at.get("description", "")
            at["description"] = f"{words} {own}".strip()
        if closed and field not in schema.get("required", []):
            schema["properties"][field] = _or_null(at)
    return _typed(schema)  # type: ignore[no-any-return]  # a dict in gives a dict out


def _or_null(field: Json) -> Json:
    """A field of a request that may be absent may be null as well: both mean the same."""
    beside: Json = {key: field[key] for key in ("description", "default", "examples", "x-free-keys") if key in field}
    kind: Json = {key: value for key, value in field.items() if key not in beside}
    kinds = kind.get("anyOf", [kind])
    return {"anyOf": kinds if {"type": "null"} in kinds else [*kinds, {"type": "null"}], **beside}


def _typed(part: Any) -> Any:
    """Every list of texts says that it is of texts, and every civil date how long it is; msgspec leaves both out.

    What it says too much is that a text holds a decimal: some generators make a float of that, and then read no amount at all.
    """
    if isinstance(part, (list, tuple)):
        return [_typed(item) for item in part]
    if not isinstance(part, dict):
        return part
    part = {key: _typed(value) for key, value in part.items()}
    if isinstance(part.get("enum"), list) and all(isinstance(word, str) for word in part["enum"]):
        part.setdefault("type", "string")
    if part.get("type") == "string" and part.get("format") == "decimal":
        del part["format"]
    if isinstance(part.get("pattern"), str):  # JavaScript's $, which JSON Schema goes by, is no place before a final newline
        part["pattern"] = part["pattern"].removesuffix("(?!\\n)")
    if part.get("format") == "date":
        part.setdefault("maxLength", 10)
    return part


def _as_meant(value: Any, field: Json) -> Any:
    """A query's value is text on the wire; its example shows what is meant, as the schema has it."""
    if isinstance(value, str) and field.get("type") in ("boolean", "integer"):
        return msgspec.json.decode(value)
    return value


def _not_null(field: Json) -> Json:
    """A query has no null: a parameter that is not there is not there."""
    field = {key: value for key, value in field.items() if not (key == "default" and value is None)}
    kinds = [kind for kind in field.get("anyOf", []) if kind != {"type": "null"}]
    if len(kinds) == 1:
        rest = {key: value for key, value in field.items() if key != "anyOf"}
        return {**kinds[0], **rest}
    return field | ({"anyOf": kinds} if kinds else {})

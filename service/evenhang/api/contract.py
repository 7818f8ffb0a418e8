"""The OpenAPI document, put together from the table of operations and the structs' own schemas."""

from typing import Any

import msgspec

from evenhang import __version__
from evenhang.api.operations import OPERATIONS
from evenhang.api.problems import Problem
from evenhang.engine.money import Amount, Factor


def _schema(kind: type) -> dict[str, Any]:
    if issubclass(kind, (Amount, Factor)):
        return {"type": "string", "pattern": kind.PATTERN, "maxLength": 25, "description": f"Expected: {kind.WORDS}."}
    raise NotImplementedError(kind)


def contract() -> dict[str, Any]:
    """The document as served at /openapi.json and committed under openapi/."""
    kinds: set[type] = {Problem}
    for op in OPERATIONS:
        kinds |= {*op.answer, *((op.request,) if op.request else ())}
    refs, parts = msgspec.json.schema_components(
        sorted(kinds, key=lambda k: k.__name__), schema_hook=_schema, ref_template="#/components/schemas/{name}"
    )
    ref = dict(zip(sorted(k.__name__ for k in kinds), refs, strict=True))
    problem = {"description": "A problem document.", "content": {"application/problem+json": {"schema": ref["Problem"]}}}
    paths: dict[str, Any] = {}
    for op in OPERATIONS:
        answers = [ref[k.__name__] for k in op.answer]
        schema = answers[0] if len(answers) == 1 else {"anyOf": answers}
        responses: dict[str, Any] = {"200": {"description": "The answer.", "content": {"application/json": {"schema": schema}}}}
        entry: dict[str, Any] = {"operationId": op.id, "summary": op.summary, "description": op.description, "responses": responses}
        codes = ["405", "500"]
        if "{member}" in op.path:
            member = {"type": "string", "pattern": "^[a-z0-9][a-z0-9-]{0,62}$", "maxLength": 63}
            entry["parameters"] = [{"name": "member", "in": "path", "required": True, "schema": member}]
        if op.request is not None:
            entry["requestBody"] = {"required": True, "content": {"application/json": {"schema": ref[op.request.__name__]}}}
            codes += ["400", "404", "409", "413", "415", "422"]
        for code in sorted(codes):
            responses[code] = problem
        paths.setdefault(op.path, {})[op.method.lower()] = entry
    return {
        "openapi": "3.1.0",
        "info": {"title": "evenhang", "version": __version__, "description": "One defensible price for every work, the same everywhere."},
        "servers": [{"url": "/v1"}],
        "paths": paths,
        "components": {"schemas": dict(sorted(parts.items()))},
    }


def contract_bytes() -> bytes:
    """The document as it stands in the file, byte for byte."""
    return msgspec.json.format(msgspec.json.encode(contract()), indent=2) + b"\n"

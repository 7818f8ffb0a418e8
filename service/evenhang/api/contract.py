"""The OpenAPI document, put together from the table of operations, the structs' own schemas and the example files.

Knows no running service.
"""

from typing import Any

import msgspec

from evenhang import __version__
from evenhang.api.ageing import WORDS as AGEING
from evenhang.api.calls import Operation
from evenhang.api.components import BEARER, FIELDS_OF_ANSWERS, bearer, headers_of, optional, placed, problem_response
from evenhang.api.examples import Example, lines_from, load_examples
from evenhang.api.links import links_of
from evenhang.api.operations import OPERATIONS
from evenhang.api.replies import JSON
from evenhang.api.schemas import json_type, parameters_of, schemas_of
from evenhang.api.translation import encode
from evenhang.api.words import TAG_OF, TAGS

Json = dict[str, Any]
ABOUT = """One defensible price for every work of original art, the same in studio, gallery, fair and web shop.

A member of a collective has one shared rule set; whoever asks, gets the same price, the same settlement and the same findings from it.
Amounts are decimal strings, never JSON numbers. Requests are closed: a field that is not listed is refused. Answers are open: expect new
fields. Absent and null mean the same. Every POST is a computation: it changes nothing and is safe to repeat. Errors are problem
documents (RFC 9457). Every answer to a request that reached the service, problems included, carries `X-Request-Id`, which is in its
log. What is no request in HTTP, or has an address beyond all bounds, is turned away before that, with a 400 that has none; a proxy in
front may answer for a service that is away.

Texts for people (labels, workings, statements, findings, displayed amounts) follow `Accept-Language`: English, French, German,
Spanish or Japanese, and English where none of them is asked for. `Content-Language` says which; nothing else changes with it.

Figures of tax, royalties, contracts or wages are arithmetic, not advice: local law and the written agreement decide;
ask a licensed adviser."""
LINES = "One JSON object a line (NDJSON)."
BASE = "/v1"

# Pictures are no example files: their bytes are those of the library that draws them. What all of them share is shown instead.
PICTURE = {
    "summary": "What every picture begins with, without what it draws.",
    "value": '<svg xmlns="http://www.w3.org/2000/svg" version="1.1" role="img" aria-labelledby="title-0 words-0">'
    '<title id="title-0">Its name</title><desc id="words-0">What it shows, with every figure, in words.</desc></svg>',
}


def contract() -> Json:
    """The document as served at /openapi.json and committed under openapi/."""
    examples = load_examples()
    paths: Json = {}
    used: set[int] = set()
    for op in OPERATIONS:
        used |= _statuses(op)
        paths.setdefault(op.path, {})[op.method.lower()] = _operation(op, [e for e in examples if e.operation == op.id])
        if op.base != BASE:  # beside the versioned addresses, such as those under /.well-known
            paths[op.path]["servers"] = [{"url": op.base or "/", "description": "The service itself, outside the version."}]
    components: Json = {"schemas": schemas_of(OPERATIONS)}
    shared = {name: shape for name, shape in placed().items() if any(f"{{{shape['name']}}}" in op.path for op in OPERATIONS)}
    for op in OPERATIONS:
        shared |= optional(op)
    components["parameters"] = shared
    components["headers"] = FIELDS_OF_ANSWERS
    components["responses"] = {f"Problem{status}": problem_response(status, examples) for status in sorted(used)}
    if any(op.scope != "public" for op in OPERATIONS):
        components["securitySchemes"] = {BEARER: bearer()}
    tags = {_tag(op) for op in OPERATIONS}
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "evenhang",
            "version": __version__,
            "summary": "One defensible price for every work, the same everywhere.",
            "description": ABOUT,
            "contact": {"name": "The evenhang authors"},
            "license": {"name": "MIT License", "identifier": "MIT"},
        },
        "servers": [{"url": BASE, "description": "The service that serves this document."}],
        "tags": [{"name": name, "description": TAGS[name]} for name in sorted(tags & TAGS.keys())],
        "paths": paths,
        "components": components,
    }


def contract_bytes() -> bytes:
    """The document as it stands in the file, byte for byte."""
    return msgspec.json.format(encode(contract()), indent=2) + b"\n"


def _tag(op: Operation) -> str:
    noun = [step for step in op.path.split("/") if step and not step.startswith("{")][-1]
    return TAG_OF.get(noun, noun)


def _statuses(op: Operation) -> set[int]:
    """The statuses of problems that an operation can answer, by rule: an unknown parameter of a query and a key that is not known are
    refused everywhere, and so is at the door what is too long or asks for another host."""
    asked = op.request or op.query
    found = {400, 401, 405, 406, 414, 421, 431, 500}
    if op.limited:
        found.add(429)
    if hasattr(asked, "as_of"):  # the rules of that day may have no answer
        found.add(422)
    if hasattr(asked, "rules_digest"):
        found.add(409)
    if op.request is not None:
        found |= {413, 415}
    if "{" in op.path:
        found.add(404)
    if op.scope != "public":
        found.add(403)
    return found


def _operation(op: Operation, examples: list[Example]) -> Json:
    """The operation's entry; `examples` are its own."""
    good = [e for e in examples if e.status == 200]
    entry: Json = {"operationId": op.id, "tags": [_tag(op)], "summary": op.summary, "description": op.description}
    parameters = [{"$ref": f"#/components/parameters/{name}"} for name, shape in placed().items() if f"{{{shape['name']}}}" in op.path]
    if op.query is not None:
        parameters += parameters_of(op.query, {e.name: e.body() for e in good})
    parameters += [{"$ref": f"#/components/parameters/{name}"} for name in optional(op)]
    if parameters:
        entry["parameters"] = parameters
    if op.request is not None:
        asked = {e.name: {"summary": e.summary, "value": e.body()} for e in good}
        content: Json = {JSON: {"schema": json_type(op.request), "examples": asked}}
        content |= {
            kind: {"schema": {"type": "string", "maxLength": op.most_bytes, "description": LINES}, "examples": _lines(asked)}
            for kind in op.takes
            if kind != JSON
        }
        entry["requestBody"] = {"description": (op.request.__doc__ or "").strip(), "required": True, "content": content}
    responses: Json = {"200": _answer(op, good)}
    if op.cache:
        responses["304"] = {"description": "The caller's copy, named in `If-None-Match`, still holds.", "headers": headers_of(op, 304)}
    for status in sorted(_statuses(op)):
        responses[str(status)] = {"$ref": f"#/components/responses/Problem{status}"}
    entry["responses"] = responses
    entry["security"] = [] if op.scope == "public" else [{BEARER: [op.scope]}]
    return entry | ({"deprecated": True} if op.deprecated_on else {})


def _lines(asked: Json) -> Json:
    """The examples of a body as a body of lines."""
    return {name: {"summary": one["summary"], "value": lines_from(one["value"]).decode()} for name, one in asked.items()}


def _answer(op: Operation, good: list[Example]) -> Json:
    """The 200. Of several answers the one that demands most stands first: a reader who tries them in order is right."""
    kinds = sorted(op.answer, key=lambda kind: -len(msgspec.structs.fields(kind)))
    schema = json_type(kinds[0]) if len(kinds) == 1 else {"anyOf": [json_type(kind) for kind in kinds]}
    answers = {e.name: {"summary": e.summary, "value": msgspec.json.decode(e.answer)} for e in good if e.answer}
    words = " Or: ".join((kind.__doc__ or "").strip() for kind in kinds)
    answer: Json = {"description": words, "headers": headers_of(op, 200), "content": {JSON: {"schema": schema, "examples": answers}}}
    for media in op.media:
        if media != JSON:
            # A kind that goes before JSON is the same struct under a name of its own.
            answer["content"][media] = answer["content"][JSON] if op.media.index(media) < op.media.index(JSON) else _other(media, good)
    days = {"Deprecation": op.deprecated_on, "Sunset": op.sunset_on}
    answer["headers"] |= {
        name: {"description": AGEING[name], "schema": {"type": "string", "maxLength": 40}} for name, day in days.items() if day
    }
    if links := links_of(op.id, OPERATIONS):
        answer["links"] = links
    return answer


def _other(media: str, good: list[Example]) -> Json:
    """An answer of another kind, with its examples: an object where it is JSON under another name (RFC 6839), else a text."""
    parsed = media.endswith("+json")
    bodies = {e.name: (e.summary, e.others[media]) for e in good if media in e.others}
    shown = {
        name: {"summary": summary, "value": msgspec.json.decode(body) if parsed else body.decode()}
        for name, (summary, body) in bodies.items()
    }
    return {"schema": {"type": "object" if parsed else "string"}, "examples": shown or {"shortened": PICTURE}}

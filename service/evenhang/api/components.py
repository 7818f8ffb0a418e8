"""What many operations share in the contract, each once under `components`: header fields, parameters, problems, how to show a key.

Knows the table of problems and the words, no operation by name.
"""

from typing import Any

import msgspec

from evenhang.api.calls import Operation
from evenhang.api.examples import MEMBER, Example, digest_of
from evenhang.api.language import LANGUAGES, MOST_CHARACTERS
from evenhang.api.limits import MOST_ACCEPT
from evenhang.api.problems import Problem
from evenhang.api.provoked import HOUSES, PROVOKED
from evenhang.api.replies import JSON, PROBLEM
from evenhang.api.schemas import json_type
from evenhang.api.words import FIELDS, HEADERS, NAME, SCOPES, STATUSES

Json = dict[str, Any]
BEARER = "bearer"
# Declined before the key is looked at: nobody's rate has counted the request yet.
UNCOUNTED = {405, 414, 421, 431}
RATE = ("RateLimit", "RateLimit-Policy")
_LIMITED = "Only where the house limits rates (draft-ietf-httpapi-ratelimit-headers), and not on what is declined before it is counted."
FIELDS_OF_ANSWERS: Json = {
    "Content-Language": {
        "description": "The language of the texts for people (RFC 9110, section 8.5).",
        "schema": {"type": "string", "enum": list(LANGUAGES)},
    },
    "ETag": {
        "description": "A strong tag of these bytes; send it back in `If-None-Match` (RFC 9110, section 8.8.3).",
        "schema": {"type": "string", "maxLength": 80},
    },
    "RateLimit": {
        "description": f"How many requests are left (`r`), and the seconds until all of them are back (`t`). {_LIMITED}",
        "schema": {"type": "string", "pattern": '^"requests";r=[0-9]+;t=[0-9]+$', "maxLength": 60},
    },
    "RateLimit-Policy": {
        "description": f"How many requests (`q`) a key, or an address without one, may send in how many seconds (`w`). {_LIMITED}",
        "schema": {"type": "string", "pattern": '^"requests";q=[0-9]+;w=[0-9]+$', "maxLength": 60},
    },
    "X-Request-Id": {
        "description": "The request's id, as in the service's log: the caller's own, where it sent a plain one, else a new one.",
        "schema": {"type": "string", "pattern": "^[A-Za-z0-9._-]{1,64}$", "maxLength": 64},
    },
}


def said(*names: str) -> Json:
    """The header fields of a response, by reference."""
    return {name: {"$ref": f"#/components/headers/{name}"} for name in sorted(names)}


def placed() -> dict[str, Json]:
    """The parameters that stand in paths, by the name of their component."""
    member = {
        "name": "member",
        "in": "path",
        "required": True,
        "description": "The member, as listed under `/members`.",
        "schema": {"type": "string", **NAME},
        "example": MEMBER,
    }
    digest = {
        "name": "digest",
        "in": "path",
        "required": True,
        "description": FIELDS["digest"],
        "schema": {"type": "string", "pattern": "^[0-9a-f]{64}$", "maxLength": 64},
        "example": digest_of(MEMBER),
    }
    return {"Member": member, "Digest": digest}


def optional(op: Operation) -> dict[str, Json]:
    """The request fields that an operation heeds where they are sent, by the name of their component.

    Their schemas have no longest length: what is longer than is read is not refused, the rest of it is passed over.
    """
    language = {
        "name": "Accept-Language",
        "in": "header",
        "required": False,
        "description": f"The languages of the texts for people, by preference: {', '.join(LANGUAGES)}; of anything else English"
        f" (RFC 9110, section 12.5.4). Read are the first {MOST_CHARACTERS} characters.",
        "schema": {"type": "string"},
        "example": "de-CH, de;q=0.9",
    }
    kept = {
        "name": "If-None-Match",
        "in": "header",
        "required": False,
        "description": "The `ETag` of the caller's copy: where it still holds, the answer is a 304 (RFC 9110, section 13.1.2)."
        f" Read are the first {MOST_ACCEPT} characters.",
        "schema": {"type": "string"},
        "example": '"0123456789abcdef0123456789abcdef-en"',
    }
    return ({"AcceptLanguage": language} if speaks(op) else {}) | ({"IfNoneMatch": kept} if op.cache else {})


def speaks(op: Operation) -> bool:
    """Whether its answer has texts for people: what is no struct in JSON is in no language."""
    return op.media[0] == JSON


def problem_response(status: int, examples: tuple[Example, ...]) -> Json:
    """The one response of a status, with each refusal among the examples, and with what was provoked, which shows its request."""
    shown = {
        f"{e.operation}-{e.name}": {"summary": f"{e.operation}: {e.summary}", "value": msgspec.json.decode(e.answer)}
        for e in examples
        if e.status == status
    }
    for asked in PROVOKED:
        if asked.status == status and asked.answer:
            met = f"Answered so {HOUSES[asked.house]}:\n\n```\n{asked.shown}\n```"
            shown[asked.name] = {"summary": asked.summary, "description": met, "value": msgspec.json.decode(asked.answer)}
    headers = said("Content-Language", "X-Request-Id", *(() if status in UNCOUNTED else RATE))
    headers |= {name: {"description": words, "schema": schema} for name, (words, schema) in HEADERS.get(status, {}).items()}
    content = {PROBLEM: {"schema": json_type(Problem), "examples": shown}}
    return {"description": STATUSES[status], "headers": headers, "content": content}


def headers_of(op: Operation, status: int) -> Json:
    """The header fields of an operation's 200 or 304."""
    own = ["X-Request-Id", *(RATE if op.limited else ()), *(("ETag",) if op.cache else ())]
    spoken = ("Content-Language",) if status == 200 and speaks(op) else ()
    return said(*own, *spoken)


def bearer() -> Json:
    """How a key is shown, and what it may do."""
    scopes = "; ".join(f"`{name}`: {words}" for name, words in SCOPES.items())
    return {"type": "http", "scheme": "bearer", "description": f"A key of the collective's (RFC 6750). What a key may do: {scopes}."}

"""The document itself: complete, closed where callers write, the same on every run, and ready for keys and queries."""

import json
import os
import re
import subprocess
import sys
from datetime import date
from types import SimpleNamespace
from typing import Any

import msgspec
import pytest
from openapi_spec_validator import validate

from evenhang.api import contract as module
from evenhang.api.calls import Digest
from evenhang.api.contract import contract, contract_bytes
from evenhang.api.operations import OPERATIONS
from evenhang.api.problems import PROBLEMS
from evenhang.api.words import FIELDS, SCOPES, STATUSES, TAG_OF, TAGS

DOC = contract()
SCHEMAS: dict[str, Any] = DOC["components"]["schemas"]


def operations(doc: dict[str, Any]) -> list[dict[str, Any]]:
    return [entry for path in doc["paths"].values() for method, entry in path.items() if method != "servers"]


def test_every_field_says_what_it_means() -> None:
    """A new field needs a line in FIELDS of api/words.py, or a description of its own."""
    silent = [
        f"{name}.{field}" for name, schema in SCHEMAS.items() for field, at in schema["properties"].items() if not at.get("description")
    ]
    assert silent == []


def test_no_words_for_fields_that_are_gone() -> None:
    known = {field for schema in SCHEMAS.values() for field in schema["properties"]}
    known |= {f"{name}.{field}" for name, schema in SCHEMAS.items() for field in schema["properties"]}
    queries = [op.query for op in OPERATIONS if op.query]
    known |= {
        name for query in queries for f in msgspec.structs.fields(query) for name in (f.encode_name, f"{query.__name__}.{f.encode_name}")
    }
    assert set(FIELDS) - known == set()


def test_every_operation_says_what_it_is() -> None:
    for entry in operations(DOC):
        assert re.fullmatch("[a-z]+([A-Z][a-z]+)*", entry["operationId"])
        assert entry["summary"]
        assert len(entry["description"]) > 20
        assert entry["tags"][0] in TAGS, "give the path's noun a tag in TAG_OF of api/words.py"
        assert "security" in entry
    assert set(TAG_OF.values()) == set(TAGS)


def test_requests_are_closed_and_answers_open() -> None:
    asked = set()

    def walk(part: Any) -> None:
        for name in re.findall(r"#/components/schemas/(\w+)", json.dumps(part)):
            if name not in asked:
                asked.add(name)
                walk(SCHEMAS[name])

    for entry in operations(DOC):
        walk(entry.get("requestBody", {}).get("content", {}).get("application/json", {}).get("schema"))
    closed = {name for name, schema in SCHEMAS.items() if schema.get("additionalProperties") is False}
    assert asked == closed


def test_errors_are_said_once_each_with_an_example() -> None:
    responses = DOC["components"]["responses"]
    assert all(re.fullmatch("Problem[45][0-9][0-9]", name) for name in responses)
    for name, response in responses.items():
        assert response["content"]["application/problem+json"]["examples"], name
    for entry in operations(DOC):
        for status, response in entry["responses"].items():
            assert status in ("200", "304") or response == {"$ref": f"#/components/responses/Problem{status}"}
    assert {kind.status for kind in PROBLEMS.values()} <= set(STATUSES)


def test_the_document_is_the_same_on_every_run() -> None:
    code = "import sys; from evenhang.api.contract import contract_bytes; sys.stdout.buffer.write(contract_bytes())"
    for seed in ("0", "4711"):
        run = subprocess.run([sys.executable, "-c", code], env={**os.environ, "PYTHONHASHSEED": seed}, capture_output=True, check=True)
        assert run.stdout == contract_bytes()


def test_every_reference_leads_somewhere() -> None:
    for path in set(re.findall(r'"\$ref":\s*"#/([^"]+)"', json.dumps(DOC))):
        at: Any = DOC
        for step in path.split("/"):
            at = at[step]


class PriceQuery(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A work in query parameters."""

    medium: str
    as_of: date | None = None
    rules_digest: Digest | None = None


def test_scopes_and_queries_come_from_the_table(monkeypatch: pytest.MonkeyPatch) -> None:
    """A row with a scope is secured and declares 401; a row with a query gets its parameters, without null."""
    first = OPERATIONS[0]
    columns = {name: getattr(first, name) for name in first.__struct_fields__}
    row = SimpleNamespace(
        **{**columns, "id": "readDeskPrice", "path": "/members/{member}/desk-price", "scope": "desk", "query": PriceQuery}
    )
    monkeypatch.setattr(module, "OPERATIONS", (*OPERATIONS, row))
    doc = contract()
    entry = doc["paths"]["/members/{member}/desk-price"]["get"]
    assert entry["security"] == [{"bearer": ["desk"]}]
    assert {"400", "401", "404", "409", "422"} <= set(entry["responses"])
    assert "WWW-Authenticate" in doc["components"]["responses"]["Problem401"]["headers"]
    assert all(f"`{scope}`" in doc["components"]["securitySchemes"]["bearer"]["description"] for scope in SCOPES)
    parameters = {p["name"]: p for p in entry["parameters"] if "name" in p}
    assert {name: p["required"] for name, p in parameters.items()} == {"medium": True, "as_of": False, "rules_digest": False}
    assert parameters["as_of"]["schema"] == {"type": "string", "format": "date", "maxLength": 10}
    assert parameters["rules_digest"]["schema"]["pattern"] == "^[0-9a-f]{64}$"
    assert parameters["medium"]["description"] == FIELDS["medium"]
    validate(doc)
